//! Simulated readings of a card, through the numbers, into the shop file and back.

use super::bench::{Bench, card, shop_of};
use super::{grid, ramp, wedge};
use kerfbook::diagnostics::Sink;
use kerfbook::entries::{self, BurnedNumbers, SettingEntry, ShadesEntry, ShopText};
use kerfbook::plan::Burn;
use kerfbook::readings::{Darkness, FocusReading, ShadeReading, beam, shades};
use kerfbook::shop::{BurnedWith, OperationKind, power_for_shade};
use kerfbook::source::SourceId;
use kerfbook::syntax::{Node, parse};
use kerfbook::units::{Mm, Percent};
use kurbo::Shape;

fn nodes(text: &str) -> Vec<Node> {
    parse(SourceId(0), text, &mut Sink::new()).expect("a shop file").nodes
}

#[test]
fn a_beam_burned_on_the_ramp_is_found_again_in_the_shop_file() {
    // The beam of a 50.8 mm lens, off its gauge: the figures of `readings::focus`.
    let (spot, height, rayleigh) = (0.098, 0.4, 0.71);
    let bench = Bench::demo();
    let plan = card(&bench, &ramp()).unwrap();
    let lines = plan.runs[0].operations.iter().find(|o| o.figures[0] == "line-1").expect("the ramp");
    let Burn::Lines(paths) = &lines.burn else { panic!("lines") };
    // The sheet is 130 mm long and lies on a block of 6 mm; the focus is level, set over the middle of what is burned.
    let slope = 6.0 / (130.0_f64.powi(2) - 36.0).sqrt();
    let all = lines.bounds.unwrap();
    let readings: Vec<FocusReading> = paths
        .iter()
        .map(|line| {
            let z = (all.center().x - line.bounding_box().center().x) * slope;
            let width = spot * (1.0 + ((z - height) / rayleigh).powi(2)).sqrt();
            FocusReading { height: Mm::new(z), width: Mm::new(width) }
        })
        .collect();
    assert!(readings.len() >= 7, "{readings:?}");
    // What the card says beside each line is where it lies.
    let text = bench.make(&ramp()).unwrap();
    let mut said: Vec<f64> = text
        .lines()
        .filter(|l| l.starts_with("lettering \"says-") && !l.contains("says-heights"))
        .map(|l| l.split('"').nth(3).unwrap().parse().unwrap())
        .collect();
    let mut lie: Vec<f64> = readings.iter().map(|r| r.height.get()).collect();
    said.sort_by(f64::total_cmp);
    lie.sort_by(f64::total_cmp);
    assert!(
        said.len() == lie.len() && said.iter().zip(&lie).all(|(s, l)| (s - l).abs() < 1e-4),
        "{said:?} {lie:?}"
    );

    let found = beam(&readings).unwrap();
    assert!((found.height.0.get() - height).abs() < 1e-6);
    let nodes = nodes(&bench.text);
    let shop = ShopText { text: &bench.text, nodes: &nodes };
    let entry = entries::beam(shop, "bench-diode", found.spot.0, found.rayleigh.0).unwrap();
    let machine = shop_of(&entry.text).machine("bench-diode").unwrap().clone();
    assert!((machine.spot.get() - spot).abs() < 5e-4);
    assert!((machine.rayleigh.unwrap().get() - rayleigh).abs() < 5e-4);
    assert_eq!(entry.changes[0], "spot of `bench-diode`: was 0.08 mm, is now 0.098 mm");
}

#[test]
fn shades_burned_on_the_wedge_are_found_again_in_the_shop_file() {
    let bench = Bench::demo();
    let plan = card(&bench, &wedge()).unwrap();
    // An invented stock: the darkness grows as one less an exponential of the power.
    let light = |power: f64| 24.0 + 54.0 * libm::exp(-power / 30.0);
    let patches: Vec<f64> = plan.runs[0]
        .operations
        .iter()
        .filter(|o| o.kind == OperationKind::Engrave)
        .map(|o| o.setting.as_ref().unwrap().power.get())
        .collect();
    assert_eq!(patches, [8.0, 16.0, 23.0, 31.0, 39.0, 47.0, 54.0, 62.0]);
    let read =
        |power: &f64| ShadeReading { power: Percent::new(*power), darkness: Darkness::Luminance(light(*power)) };
    let readings: Vec<ShadeReading> = [0.0].iter().chain(&patches).map(read).collect();
    let found = shades(&readings).unwrap();
    let nodes = nodes(&bench.text);
    let entry = ShadesEntry {
        name: None,
        machine: "bench-diode".into(),
        stock: "birch-3".into(),
        setting: "dark".into(),
        burned: BurnedNumbers {
            speed: "283.465 in/min".into(),
            passes: 1,
            interval: Some(Mm::new(0.1)),
            focus: Mm::ZERO,
        },
        steps: found.steps,
    };
    let written = entries::shades(ShopText { text: &bench.text, nodes: &nodes }, &entry).unwrap();
    let shop = shop_of(&written.text);
    let card = &shop.shade_cards[0];
    assert_eq!((card.name.as_str(), card.steps.len()), ("birch-tones", 8));
    let setting = shop.settings.iter().find(|s| s.name == "dark" && s.is_for("bench-diode", "birch-3")).unwrap();
    assert_eq!(card.burned.differences(&BurnedWith::of(setting)), [], "it was burned with the setting as it is");
    let darkest = light(62.0);
    for power in patches {
        let shade = 100.0 * (light(0.0) - light(power)) / (light(0.0) - darkest);
        let found = power_for_shade(card, Percent::new((shade * 10.0).round() / 10.0)).unwrap();
        assert!((found.get() - power).abs() < 1e-6, "{shade}: {found}, burned at {power}");
    }
    assert!(written.text.contains("// Invented like all numbers here"), "comments stay");
}

#[test]
fn a_patch_that_was_right_becomes_a_setting() {
    let bench = Bench::of("small-diode", "card-1", super::bench::SMALL);
    let plan = card(&bench, &grid(OperationKind::Cut)).unwrap();
    let burned = plan.runs[0].operations.iter().find(|o| o.figures == ["c4"]).unwrap();
    let setting = burned.setting.as_ref().unwrap();
    let entry = SettingEntry {
        name: "through".into(),
        machine: "small-diode".into(),
        stock: "card-1".into(),
        operation: burned.kind,
        speed: format!("{} mm/min", (setting.speed.get() * 60.0 * 1000.0).round() / 1000.0),
        power: setting.power,
        passes: setting.passes,
        interval: None,
        focus: None,
        air: None,
        measured: "2027-03-20".into(),
        how: "C4 of the card \"card-1-cut\"".into(),
    };
    let first = nodes(&bench.text);
    let written = entries::setting(ShopText { text: &bench.text, nodes: &first }, &entry, None).unwrap();
    let shop = shop_of(&written.text);
    let found = &shop.settings[0];
    assert!((found.speed.get() - setting.speed.get()).abs() < 1e-4 && found.power == setting.power);
    assert_eq!(found.how.as_deref(), Some("C4 of the card \"card-1-cut\""));
    assert!(written.text.starts_with(&bench.text[..bench.text.len() - 1]), "all that was there is there");

    // Measured again: the same entry, other numbers, nothing doubled.
    let again =
        SettingEntry { power: Percent::new(55.0), passes: 2, measured: "2027-05-01".into(), ..entry.clone() };
    let second = nodes(&written.text);
    let anew =
        entries::setting(ShopText { text: &written.text, nodes: &second }, &again, shop.settings.first()).unwrap();
    let shop = shop_of(&anew.text);
    assert_eq!((shop.settings.len(), shop.settings[0].passes), (1, 2));
    assert!(anew.changes.iter().any(|c| c.contains("power of setting `through`: was ")), "{:?}", anew.changes);
    let other = SettingEntry { operation: OperationKind::Score, ..entry };
    let third = nodes(&anew.text);
    assert!(
        entries::setting(ShopText { text: &anew.text, nodes: &third }, &other, shop.settings.first()).is_err()
    );
}
