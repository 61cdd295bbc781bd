//! Test cards build on any bench, say their numbers, and what is read off them comes back as it was.

mod bench;
mod comb;
mod round;
mod typed;

use bench::{Bench, card};
use kerfbook::cards::{FocusWish, KerfWish, SettingsWish, ShadeWish, Wish, recipe};
use kerfbook::plan::{Operation, Plan};
use kerfbook::shop::OperationKind;
use kerfbook::units::{Mm, Percent, parse_quantity};
use kurbo::Rect;

pub(crate) fn grid(operation: OperationKind) -> Wish {
    let (speeds, powers) = (Vec::new(), Vec::new());
    Wish::Settings(SettingsWish { operation, speeds, powers, passes: 1, interval: None, focus: None })
}

pub(crate) fn comb(strips: u32) -> Wish {
    Wish::Kerf(KerfWish { setting: None, strips })
}

pub(crate) fn wedge() -> Wish {
    Wish::Shade(ShadeWish { setting: None, powers: Vec::new() })
}

pub(crate) fn ramp() -> Wish {
    Wish::Focus(FocusWish { setting: None, rise: Mm::new(6.0) })
}

/// Every kind of card.
fn wishes() -> Vec<Wish> {
    use OperationKind::{Cut, Engrave, Score};
    vec![grid(Engrave), grid(Score), grid(Cut), comb(10), wedge(), ramp()]
}

/// Everything that burns.
fn burning(plan: &Plan) -> impl Iterator<Item = &Operation> {
    plan.runs.iter().flat_map(|r| &r.operations)
}

#[test]
fn every_card_builds_on_every_bench_without_a_warning() {
    for bench in Bench::all() {
        for wish in wishes() {
            // `card` fails on a warning.
            let Some(plan) = card(&bench, &wish) else { continue };
            let sheet = Rect::new(0.0, 0.0, plan.sheet.width.get(), plan.sheet.height.get());
            for operation in burning(&plan) {
                let bounds = operation.bounds.expect("every operation burns something");
                assert!(
                    sheet.inset(-1.0).contains_rect(bounds),
                    "{wish:?} on {}: {bounds:?} in {sheet:?}",
                    bench.machine
                );
                let setting = operation.setting.as_ref().expect("numbers");
                assert!(setting.speed <= plan.machine.top_speed && setting.power.get() <= 100.0, "{wish:?}");
            }
        }
    }
}

#[test]
fn a_bench_without_measured_settings_gets_a_grid_and_is_told_to_burn_it_first() {
    let bench = Bench::of("small-diode", "card-1", bench::SMALL);
    assert!(card(&bench, &grid(OperationKind::Cut)).expect("a grid needs nothing measured").is_trial());
    let error = bench.make(&comb(10)).unwrap_err();
    assert!(error.repair.contains("kerfbook card settings --operation cut"), "{error}");
    assert!(bench.make(&wedge()).is_err());
}

/// What a card measures may be missing while it is burned; whatever else is burned needs it.
#[test]
fn a_bench_without_a_spot_gets_every_card_that_needs_none() {
    use OperationKind::{Cut, Engrave, Score};
    for wish in [ramp(), grid(Score), grid(Cut)] {
        let (made, plan) = bench::files_of(&Bench::of("new-diode", "lime-4", bench::NEW), &wish);
        let report: serde_json::Value = serde_json::from_slice(&made["report.json"]).unwrap();
        assert!(report["machine"]["spot_mm"].is_null(), "what stands in for a spot is told nowhere");
        let block = matches!(wish, Wish::Focus(_)).then(|| Mm::new(6.0));
        assert_eq!(plan.sheet.block, block);
    }
    let bench = Bench::of("new-diode", "lime-4", bench::NEW);
    let error = bench.make(&grid(Engrave)).unwrap_err();
    assert!(error.repair.contains("`kerfbook card focus`") && error.repair.contains("--interval"), "{error}");
    let (speeds, powers) = (Vec::new(), Vec::new());
    let interval = Some(Mm::new(0.1));
    let given = SettingsWish { operation: Engrave, speeds, powers, passes: 1, interval, focus: None };
    assert!(card(&bench, &Wish::Settings(given)).is_some());
}

#[test]
fn no_label_lies_on_anything_else() {
    for bench in Bench::all() {
        for wish in wishes() {
            let Some(plan) = card(&bench, &wish) else { continue };
            let boxes: Vec<(&str, Rect)> =
                plan.figures.iter().filter_map(|f| Some((f.name.as_str(), f.bounds?))).collect();
            for (i, (name, one)) in boxes.iter().enumerate() {
                for (other, two) in &boxes[i + 1..] {
                    // The rails of a comb run along its strips.
                    let belongs = [*name, *other] == ["strips", "rails"];
                    assert!(
                        belongs || one.intersect(*two).is_zero_area(),
                        "{wish:?}: {name} {one:?} on {other} {two:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn every_patch_says_the_numbers_that_it_is_burned_with() {
    for bench in Bench::all() {
        for kind in [OperationKind::Engrave, OperationKind::Score, OperationKind::Cut] {
            let text = bench.make(&grid(kind)).unwrap();
            let plan = card(&bench, &grid(kind)).unwrap();
            let mut patches = 0;
            for operation in
                burning(&plan).filter(|o| o.setting.as_ref().unwrap().is_trial && o.figures.len() == 1)
            {
                let name = &operation.figures[0];
                let start = format!("lettering \"says-{name}\" \"");
                let line = text.lines().find(|l| l.starts_with(&start)).expect("a label");
                let says = line[start.len()..].split('"').next().unwrap();
                let (speed, power) = says.split_once("\\n").expect("two lines");
                let read = |text: &str| parse_quantity(text, 0).unwrap().0.to_f64();
                let setting = operation.setting.as_ref().unwrap();
                assert!((read(speed) - setting.speed.get()).abs() < 1e-9, "{line}");
                assert!((read(power) - setting.power.get()).abs() < 1e-9, "{line}");
                patches += 1;
            }
            assert_eq!(patches, 25, "five speeds and five powers");
        }
    }
}

#[test]
fn the_gentlest_is_burned_first() {
    let dose = |o: &Operation| {
        let s = o.setting.as_ref().unwrap();
        s.power.get() * f64::from(s.passes) / s.speed.get()
    };
    for bench in Bench::all() {
        for wish in [grid(OperationKind::Engrave), grid(OperationKind::Cut), wedge()] {
            let Some(plan) = card(&bench, &wish) else { continue };
            let tried: Vec<f64> = burning(&plan)
                .filter(|o| o.kind != OperationKind::Score && o.setting.as_ref().unwrap().is_trial)
                .map(dose)
                .collect();
            assert!(tried.len() > 5 && tried.windows(2).all(|w| w[0] <= w[1] + 1e-12), "{tried:?}");
        }
    }
}

#[test]
fn patches_on_trial_have_colours_of_their_own_whatever_the_shop_pins() {
    let plan = card(&Bench::of("pinned-tube", "lime-4", bench::PINNED), &grid(OperationKind::Engrave)).unwrap();
    let mut colours: Vec<&str> = burning(&plan).map(|o| o.colour.as_str()).collect();
    colours.sort_unstable();
    colours.dedup();
    assert_eq!(colours.len(), burning(&plan).count());
}

#[test]
fn a_card_keeps_to_its_offcut() {
    let bench = Bench::demo();
    let with = |width: f64, height: f64| {
        let on = kerfbook::cards::On { width: Some(Mm::new(width)), height: Some(Mm::new(height)), ..bench.on() };
        recipe(&grid(OperationKind::Engrave), &on)
    };
    assert!(with(200.0, 150.0).unwrap().contains("sheet \"200 mm\" \"150 mm\""));
    assert!(with(60.0, 150.0).unwrap_err().message.contains("and the offcut has 60 mm x 150 mm"));
    assert!(with(450.0, 150.0).unwrap_err().message.contains("larger than the bed"));
    assert!(with(350.0, 150.0).unwrap_err().message.contains("larger than a sheet of `birch-3`"));
}

#[test]
fn what_goes_beyond_the_machine_or_may_not_be_burned_is_refused() {
    let bench = Bench::demo();
    let wish = |speed: f64, power: f64| {
        Wish::Settings(SettingsWish {
            operation: OperationKind::Engrave,
            speeds: vec![kerfbook::units::MmPerSecond::new(speed)],
            powers: vec![Percent::new(power)],
            passes: 1,
            interval: None,
            focus: None,
        })
    };
    assert!(bench.make(&wish(100.0, 50.0)).is_ok());
    assert!(bench.make(&wish(401.0, 50.0)).unwrap_err().message.contains("faster than `bench-diode` can go"));
    assert!(bench.make(&wish(100.0, 101.0)).unwrap_err().message.contains("more power"));
    let vinyl = Bench::of("small-diode", "signs", bench::SMALL);
    assert!(vinyl.make(&grid(OperationKind::Cut)).unwrap_err().message.contains("may not be burned"));
    let unknown = Bench::of("small-diode", "mystery", bench::SMALL);
    assert!(unknown.make(&grid(OperationKind::Cut)).unwrap_err().message.contains("not a known material"));
}

#[test]
fn a_trial_is_told_on_paper_and_in_the_report() {
    let (made, _) = bench::files_of(&Bench::demo(), &grid(OperationKind::Engrave));
    let report: serde_json::Value = serde_json::from_slice(&made["report.json"]).unwrap();
    let operations = report["runs"][0]["operations"].as_array().unwrap();
    assert_eq!(operations[0]["setting"]["on_trial"], false, "the lettering is measured");
    assert!(operations[1..].iter().all(|o| o["setting"]["on_trial"] == true && o["setting"]["name"] == ""));
    let svg = String::from_utf8(made["01-card.svg"].clone()).unwrap();
    assert_eq!(svg.matches("data-trial=\"yes\"").count(), 25);
}
