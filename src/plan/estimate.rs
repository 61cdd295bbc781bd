//! Numbers to try first where nothing was measured: what a near setting gives each place, carried over.
//!
//! An estimate stands in a finding only. Nothing is burned with it until somebody has written it down.
//!
//! A line receives power times passes over speed, in J/mm; an area receives that over the distance of its rows, in
//! J/mm². A cut takes as much more as the stock is thicker, which holds for small steps only.

use crate::shop::{Machine, OperationKind, Setting, Stock};
use crate::units::number::fixed;
use crate::units::{Mm, MmPerSecond, Percent};

/// Wavelengths farther apart than this share are different light. A judgement of this project.
const SAME_LIGHT: f64 = 0.05;
/// Thickness, power and spot may differ by this factor for anything to carry over. A judgement of this project.
const FARTHEST: f64 = 2.0;
/// Below this power (%) many lasers do not burn evenly. A judgement of this project.
const LEAST_POWER: f64 = 5.0;

/// What something is burned with and on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair<'a> {
    pub machine: &'a Machine,
    pub stock: &'a Stock,
}

/// Numbers to be tried.
#[derive(Clone, Debug)]
pub(super) struct Estimate {
    pub speed: MmPerSecond,
    pub power: Percent,
    pub passes: u32,
    pub interval: Option<Mm>,
    /// How they were worked out.
    pub arithmetic: String,
}

impl Estimate {
    /// As they are written in a setting.
    pub fn written(&self) -> String {
        let passes = if self.passes > 1 { format!(" passes={}", self.passes) } else { String::new() };
        let interval = self.interval.map_or_else(String::new, |i| format!(" interval=\"{i}\""));
        format!("speed=\"{}\" power=\"{}\"{passes}{interval}", self.speed, self.power)
    }
}

/// What a setting that was measured `there` comes to `here`.
///
/// # Errors
/// Says why nothing can be carried over.
pub(super) fn estimate(setting: &Setting, there: Pair, here: Pair) -> Result<Estimate, String> {
    comparable(setting.operation, there, here)?;
    let is_cut = setting.operation == OperationKind::Cut;
    let thicker = if is_cut { here.stock.thickness / there.stock.thickness } else { 1.0 };
    let energy = setting.line_energy(there.machine) * thicker;
    let passes = f64::from(setting.passes);
    let watts = here.machine.power.get();
    // The same power as there, as far as the machine has it: so heat has as long to spread.
    let same = 100.0 * there.machine.power.get() * setting.power.factor() / watts;
    let mut power = same.min(100.0).round().max(1.0);
    let mut speed = watts * power / 100.0 * passes / energy;
    if speed > here.machine.top_speed.get() {
        speed = here.machine.top_speed.get();
        power = (100.0 * energy * speed / (watts * passes)).round();
    }
    if power < LEAST_POWER {
        return Err(format!(
            "`{}` would have to go down to {} % at its top speed, where many lasers do not burn evenly",
            here.machine.name,
            fixed(power, 0)
        ));
    }
    Ok(Estimate {
        speed: MmPerSecond::new(rounded(speed)),
        power: Percent::new(power),
        passes: setting.passes,
        interval: setting.interval,
        arithmetic: arithmetic(setting, there, here, thicker),
    })
}

/// Whether anything carries over.
fn comparable(operation: OperationKind, there: Pair, here: Pair) -> Result<(), String> {
    let far = |ratio: f64| !(1.0 / FARTHEST..=FARTHEST).contains(&ratio);
    let (a, b) = (there.machine, here.machine);
    if (a.wavelength / b.wavelength - 1.0).abs() > SAME_LIGHT {
        return Err(format!(
            "`{}` burns with {} nm and `{}` with {} nm, of which a stock takes up other shares",
            a.name,
            fixed(a.wavelength.get() * 1e6, 0),
            b.name,
            fixed(b.wavelength.get() * 1e6, 0)
        ));
    }
    if there.stock.material.trim().to_lowercase() != here.stock.material.trim().to_lowercase() {
        return Err(format!("{} burns otherwise than {}", here.stock.material, there.stock.material));
    }
    if operation == OperationKind::Cut && far(here.stock.thickness / there.stock.thickness) {
        return Err(format!(
            "{} and {} are too far apart: a cut through much more takes more than its share",
            there.stock.thickness, here.stock.thickness
        ));
    }
    let (Some(spot), Some(other)) = (b.known_spot(), a.known_spot()) else {
        return Err("nothing says how wide both spots are".to_owned());
    };
    if far(spot / other) {
        return Err(format!("a spot of {spot} burns otherwise than one of {other}"));
    }
    if far(b.power / a.power) {
        return Err(format!("{} burns otherwise than {}: heat spreads while it takes longer", b.power, a.power));
    }
    Ok(())
}

/// Three figures are more than an estimate is worth.
fn rounded(speed: f64) -> f64 {
    let step = if speed >= 100.0 {
        1.0
    } else if speed >= 10.0 {
        10.0
    } else {
        100.0
    };
    (speed * step).round() / step
}

/// `10 W x 95 % x 2 / 5.08 mm/s = 3.74 J/mm through 3.1 mm, so 4.83 J/mm through 4 mm`.
fn arithmetic(setting: &Setting, there: Pair, here: Pair, thicker: f64) -> String {
    let passes = if setting.passes > 1 { format!(" x {}", setting.passes) } else { String::new() };
    let above = format!("{} x {}{passes}", there.machine.power, setting.power);
    let energy = setting.line_energy(there.machine);
    match (setting.operation, setting.interval) {
        (OperationKind::Engrave, Some(interval)) => {
            let dose = fixed(energy / interval.get(), 3);
            format!("{above} / ({} x {interval}) = {dose} J/mm²", setting.speed)
        }
        (OperationKind::Cut, _) if (thicker - 1.0).abs() > 1e-9 => format!(
            "{above} / {} = {} J/mm through {}, so {} J/mm through {}",
            setting.speed,
            fixed(energy, 2),
            there.stock.thickness,
            fixed(energy * thicker, 2),
            here.stock.thickness
        ),
        _ => format!("{above} / {} = {} J/mm", setting.speed, fixed(energy, 2)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Sink;
    use crate::schema::{Reader, Scope};
    use crate::shop::{Shop, decode_shop};
    use crate::source::{SourceId, Span, Spanned};
    use crate::syntax::{Node, parse};

    const BENCH: &str = r#"
machine "small" { laser "diode" wavelength="450 nm" power="10 W"; bed "400 mm" "400 mm"; spot "0.08 mm"; motion top="400 mm/s" acceleration="3000 mm/s2"; }
machine "large" { laser "diode" wavelength="455 nm" power="20 W"; bed "400 mm" "400 mm"; spot "0.1 mm"; motion top="100 mm/s" acceleration="3000 mm/s2"; }
machine "tube" { laser "co2" wavelength="10.6 um" power="40 W"; bed "400 mm" "400 mm"; spot "0.1 mm"; motion top="400 mm/s" acceleration="3000 mm/s2"; }
stock "alder-3" material="alder" thickness="3 mm"
stock "alder-4" material="Alder" thickness="4.5 mm"
stock "alder-9" material="alder" thickness="9 mm"
stock "lime-3" material="limewood" thickness="3 mm"
setting "through" machine="small" stock="alder-3" operation="cut" speed="5 mm/s" power="90 %" passes=2
setting "strong" machine="large" stock="alder-3" operation="cut" speed="8 mm/s" power="80 %"
setting "light" machine="small" stock="alder-3" operation="score" speed="60 mm/s" power="18 %"
setting "dark" machine="small" stock="alder-3" operation="engrave" speed="120 mm/s" power="60 %" interval="0.1 mm"
setting "faint" machine="small" stock="alder-3" operation="engrave" speed="120 mm/s" power="8 %" interval="0.1 mm"
"#;

    fn shop() -> Shop {
        let mut sink = Sink::new();
        let nodes = parse(SourceId(0), BENCH, &mut sink).expect("the text is right").nodes;
        let head = Span::new(SourceId(0), 0, 0);
        let file = Node {
            name: Spanned::new("file".to_owned(), head),
            arguments: Vec::new(),
            properties: Vec::new(),
            children: Some(nodes),
            span: head,
            head,
        };
        let mut shop = Shop::default();
        decode_shop(&file, &mut shop, &mut Reader { scope: &Scope::default(), sink: &mut sink });
        assert_eq!(sink.iter().count(), 0);
        shop
    }

    /// The estimate for a setting on another machine and stock.
    fn moved(shop: &Shop, name: &str, machine: &str, stock: &str) -> Result<Estimate, String> {
        let setting = shop.settings.iter().find(|s| s.name == name).unwrap();
        let pair = |m: &str, s: &str| Pair { machine: shop.machine(m).unwrap(), stock: shop.stock(s).unwrap() };
        estimate(setting, pair(&setting.machine, &setting.stock), pair(machine, stock))
    }

    fn energy(shop: &Shop, machine: &str, found: &Estimate) -> f64 {
        let watts = shop.machine(machine).unwrap().power.get();
        watts * found.power.factor() * f64::from(found.passes) / found.speed.get()
    }

    #[test]
    fn a_line_receives_power_over_speed() {
        // By definition: 40 W at 20 mm/s are 2 J/mm, at 60 in/min (25.4 mm/s) 1.574803 J/mm.
        let shop = shop();
        let mut setting = shop.settings[0].clone();
        (setting.power, setting.passes) = (Percent::new(100.0), 1);
        let tube = shop.machine("tube").unwrap();
        for (speed, joules) in [(20.0, 2.0), (25.4, 1.574_803)] {
            setting.speed = MmPerSecond::new(speed);
            assert!((setting.line_energy(tube) - joules).abs() < 1e-6);
        }
        // 20 W, 300 mm/s and rows 0.1 mm apart are 0.666667 J/mm².
        setting.speed = MmPerSecond::new(300.0);
        assert!((setting.line_energy(shop.machine("large").unwrap()) / 0.1 - 0.666_667).abs() < 1e-6);
    }

    #[test]
    fn a_cut_gets_as_much_more_as_the_stock_is_thicker_and_a_mark_the_same() {
        let shop = shop();
        let cut = moved(&shop, "through", "small", "alder-4").unwrap();
        // 10 W x 90 % x 2 / 5 mm/s = 3.6 J/mm through 3 mm, 5.4 J/mm through 4.5 mm.
        assert!((energy(&shop, "small", &cut) - 5.4).abs() < 0.01, "{cut:?}");
        assert_eq!((cut.power, cut.passes), (Percent::new(90.0), 2));
        assert!(
            cut.arithmetic.contains("3.6 J/mm through 3 mm, so 5.4 J/mm through 4.5 mm"),
            "{}",
            cut.arithmetic
        );
        let score = moved(&shop, "light", "small", "alder-9").unwrap();
        assert_eq!((score.speed, score.power), (MmPerSecond::new(60.0), Percent::new(18.0)));
        let engrave = moved(&shop, "dark", "small", "alder-9").unwrap();
        assert_eq!((engrave.speed, engrave.interval), (MmPerSecond::new(120.0), Some(Mm::new(0.1))));
    }

    #[test]
    fn no_estimate_asks_for_more_than_the_machine_has() {
        let shop = shop();
        // Half the power there: 16 W of 10 W cannot be had, so it goes slower.
        let weak = moved(&shop, "strong", "small", "alder-3").unwrap();
        assert_eq!(weak.power, Percent::new(100.0));
        assert!((energy(&shop, "small", &weak) - 2.0).abs() < 0.01, "{weak:?}");
        // The larger machine is slower: 120 mm/s cannot be had, so it takes less power.
        let slow = moved(&shop, "dark", "large", "alder-3").unwrap();
        assert_eq!(slow.speed, MmPerSecond::new(100.0));
        assert!((energy(&shop, "large", &slow) - 0.05).abs() < 0.001, "{slow:?}");
        assert!(moved(&shop, "faint", "large", "alder-3").unwrap_err().contains("do not burn evenly"));
    }

    #[test]
    fn nothing_is_carried_over_to_what_burns_otherwise() {
        let shop = shop();
        for (name, machine, stock, why) in [
            ("through", "tube", "alder-3", "450 nm and `tube` with 10600 nm"),
            ("through", "small", "lime-3", "limewood burns otherwise than alder"),
            ("through", "small", "alder-9", "3 mm and 9 mm are too far apart"),
        ] {
            let refused = moved(&shop, name, machine, stock).unwrap_err();
            assert!(refused.contains(why), "{refused}");
        }
    }
}
