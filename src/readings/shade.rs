//! How dark each power burned.

use super::ReadingError;
use crate::units::Percent;
use crate::units::number::fixed;

/// What was read off a patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Darkness {
    /// How dark it is, on any scale that grows with it: in light, not by eye.
    Dark(f64),
    /// Its luminance in hundredths of white.
    Luminance(f64),
    /// Its mean grey in a scan in sRGB, 0 to 255.
    Grey(f64),
}

/// One patch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShadeReading {
    /// The power it was burned with; 0 % is the bare stock.
    pub power: Percent,
    /// What was read off it.
    pub darkness: Darkness,
}

/// The darkness of every power: 0 % is the bare stock, 100 % the darkest patch.
#[derive(Clone, Debug)]
pub struct Shades {
    /// Power and darkness, both rising; the bare stock is not among them.
    pub steps: Vec<(Percent, Percent)>,
    /// One line a power.
    pub arithmetic: Vec<String>,
    /// What is unusual about it.
    pub warnings: Vec<String>,
}

/// A power and the light that comes back from its patches.
struct Patch {
    power: f64,
    light: f64,
    readings: usize,
    spread: f64,
}

/// Readings of a wedge as darkness between the bare stock and the darkest patch; repeated powers are averaged.
///
/// # Errors
/// When the bare stock is missing though it is needed, kinds of readings are mixed, fewer than two powers were read, the
/// wedge is hardly darker at its end, or a power burned lighter than a weaker one.
pub fn shades(readings: &[ShadeReading]) -> Result<Shades, ReadingError> {
    if let Some(strong) = readings.iter().find(|r| r.power.get() > 100.0) {
        let message = format!("a patch at {} had more power than any machine has", strong.power);
        return Err(ReadingError::new(message, "correct its power, which is in hundredths of the machine's"));
    }
    let patches = averaged(readings)?;
    let (bare, burned): (Vec<&Patch>, Vec<&Patch>) = patches.iter().partition(|p| p.power == 0.0);
    let is_dark = readings.iter().all(|r| matches!(r.darkness, Darkness::Dark(_)));
    let bare = match bare.first() {
        Some(bare) => bare.light,
        // A scale of darkness starts at the bare stock.
        None if is_dark => 0.0,
        None => {
            return Err(ReadingError::new(
                "the bare stock was not read",
                "add a reading of the stock beside the patches, as power `0 %`",
            ));
        }
    };
    if burned.len() < 2 {
        return Err(ReadingError::new("fewer than two powers were read", "read every patch of the card"));
    }
    let darkest = burned.iter().map(|p| p.light).fold(f64::INFINITY, f64::min);
    let range = bare - darkest;
    let scale = if is_dark { bare.abs().max(darkest.abs()) } else { bare };
    if range <= 0.05 * scale {
        return Err(ReadingError::new(
            "the darkest patch is hardly darker than the bare stock",
            "burn a card with more power; on a stock that burns light there is no shade card",
        ));
    }
    let steps: Vec<(Percent, Percent)> = burned
        .iter()
        .map(|p| {
            // Tenths of a percent are finer than shades can be told.
            (Percent::new(p.power), Percent::new((1000.0 * (bare - p.light) / range).round() / 10.0))
        })
        .collect();
    rising(&steps)?;
    Ok(Shades { arithmetic: arithmetic(&burned, &steps), warnings: warnings(&burned, range), steps })
}

/// The light of every power, weakest first.
fn averaged(readings: &[ShadeReading]) -> Result<Vec<Patch>, ReadingError> {
    let kind = |d: Darkness| std::mem::discriminant(&d);
    if readings.windows(2).any(|w| kind(w[0].darkness) != kind(w[1].darkness)) {
        return Err(ReadingError::new("darkness, luminance and grey are mixed", "read all patches in one way"));
    }
    let mut all: Vec<(f64, f64)> = readings.iter().map(|r| (r.power.get(), light(r.darkness))).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let of_one_power = |same: &[(f64, f64)]| {
        let lights = || same.iter().map(|s| s.1);
        Patch {
            power: same[0].0,
            light: lights().sum::<f64>() / same.len() as f64,
            readings: same.len(),
            spread: lights().fold(f64::NEG_INFINITY, f64::max) - lights().fold(f64::INFINITY, f64::min),
        }
    };
    Ok(all.chunk_by(|a, b| a.0 == b.0).map(of_one_power).collect())
}

/// The light that comes back, up to a constant.
fn light(darkness: Darkness) -> f64 {
    match darkness {
        Darkness::Dark(value) => -value,
        Darkness::Luminance(value) => value,
        Darkness::Grey(value) => 100.0 * linear(value / 255.0),
    }
}

/// The transfer function of sRGB (IEC 61966-2-1, as WCAG 2.2 prints it).
fn linear(value: f64) -> f64 {
    if value <= 0.04045 { value / 12.92 } else { libm::pow((value + 0.055) / 1.055, 2.4) }
}

/// A shade card is read backwards, so darkness has to rise with power.
fn rising(steps: &[(Percent, Percent)]) -> Result<(), ReadingError> {
    if let Some((power, _)) = steps.first().filter(|(_, dark)| dark.get() <= 0.0) {
        return Err(ReadingError::new(
            format!("{power} of power came out no darker than the bare stock"),
            "leave that patch out, or average it with another reading",
        ));
    }
    let Some(back) = steps.windows(2).find(|w| w[0].1 >= w[1].1) else { return Ok(()) };
    Err(ReadingError::new(
        format!("{} of power came out {} dark, and {} no darker ({})", back[0].0, back[0].1, back[1].0, back[1].1),
        "read both again, or burn a second card and give the readings of both, which are averaged; \
         above the darkest patch the stock only chars, and those are left out",
    ))
}

fn arithmetic(burned: &[&Patch], steps: &[(Percent, Percent)]) -> Vec<String> {
    let line = |(patch, (power, dark)): (&&Patch, &(Percent, Percent))| {
        let of = if patch.readings > 1 { format!(" (mean of {})", patch.readings) } else { String::new() };
        format!("power {power}: darkness {dark}{of}")
    };
    burned.iter().zip(steps).map(line).collect()
}

fn warnings(burned: &[&Patch], range: f64) -> Vec<String> {
    let wide = |p: &&&Patch| p.spread > 0.1 * range;
    let said = |p: &&Patch| {
        let share = fixed(100.0 * p.spread / range, 0);
        format!("the readings of {} differ by {share} % of the whole range", Percent::new(p.power))
    };
    burned.iter().filter(wide).map(said).collect()
}

impl ShadeReading {
    /// Reads `POWER=DARKNESS`.
    ///
    /// # Errors
    /// What cannot be read.
    pub fn typed(text: &str) -> Result<Self, String> {
        let (power, dark) = text.split_once('=').ok_or("expected POWER=DARKNESS, such as \"28 %=38 %\"")?;
        let share = |text: &str| super::quantity::zero_or_more(text, crate::units::Dimension::Percent);
        Ok(Self { power: Percent::new(share(power)?), darkness: Darkness::Dark(share(dark)?) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(readings: &[(f64, Darkness)]) -> Result<Shades, ReadingError> {
        let all: Vec<ShadeReading> =
            readings.iter().map(|(p, d)| ShadeReading { power: Percent::new(*p), darkness: *d }).collect();
        shades(&all)
    }

    fn steps(found: &Shades) -> Vec<(f64, f64)> {
        found.steps.iter().map(|(p, d)| (p.get(), d.get())).collect()
    }

    #[test]
    fn luminance_becomes_darkness_between_bare_and_darkest() {
        use Darkness::Luminance;
        let found = read(&[
            (0.0, Luminance(78.0)),
            (40.0, Luminance(24.0)),
            (10.0, Luminance(72.6)),
            (20.0, Luminance(51.0)),
        ]);
        assert_eq!(steps(&found.unwrap()), [(10.0, 10.0), (20.0, 50.0), (40.0, 100.0)]);
    }

    #[test]
    fn greys_of_a_scan_are_decoded() {
        use Darkness::Grey;
        // IEC 61966-2-1: grey 188 is 0.5028865 in light, 64 is 0.0512695 (colour-science, run once for this test).
        assert!((linear(188.0 / 255.0) - 0.502_886_5).abs() < 1e-7);
        assert!((linear(64.0 / 255.0) - 0.051_269_5).abs() < 1e-7);
        let found = read(&[(0.0, Grey(255.0)), (10.0, Grey(188.0)), (20.0, Grey(64.0))]).unwrap();
        let expected = 100.0 * (1.0 - 0.502_886_5) / (1.0 - 0.051_269_5);
        assert!((found.steps[0].1.get() - expected).abs() < 0.05);
    }

    #[test]
    fn repeated_readings_are_averaged_and_their_spread_told() {
        use Darkness::Dark;
        let found =
            read(&[(10.0, Dark(18.0)), (10.0, Dark(22.0)), (20.0, Dark(40.0)), (20.0, Dark(40.0))]).unwrap();
        assert_eq!(steps(&found), [(10.0, 50.0), (20.0, 100.0)]);
        assert_eq!(found.arithmetic[0], "power 10 %: darkness 50 % (mean of 2)");
        assert!(found.warnings.is_empty());
        let wide = read(&[(10.0, Dark(10.0)), (10.0, Dark(22.0)), (20.0, Dark(40.0))]).unwrap();
        assert!(wide.warnings[0].contains("10 % differ by 30 %"), "{:?}", wide.warnings);
    }

    #[test]
    fn what_cannot_be_read_backwards_is_refused() {
        use Darkness::{Dark, Luminance};
        let error = read(&[(10.0, Dark(30.0)), (20.0, Dark(20.0)), (40.0, Dark(60.0))]).unwrap_err();
        assert!(error.message.contains("10 % of power") && error.message.contains("20 % no darker"), "{error}");
        assert!(read(&[(10.0, Luminance(30.0)), (20.0, Luminance(20.0))]).unwrap_err().message.contains("bare"));
        assert!(
            read(&[(0.0, Luminance(50.0)), (20.0, Luminance(20.0))]).unwrap_err().message.contains("two powers")
        );
        assert!(read(&[(0.0, Luminance(50.0)), (9.0, Luminance(49.5)), (20.0, Luminance(49.0))]).is_err());
        assert!(read(&[(0.0, Dark(5.0)), (9.0, Dark(5.0)), (20.0, Dark(49.0))]).is_err());
        assert!(read(&[(0.0, Luminance(50.0)), (20.0, Dark(20.0))]).unwrap_err().message.contains("mixed"));
    }

    #[test]
    fn typed_readings() {
        let reading = ShadeReading::typed("28 % = 38 %").unwrap();
        assert_eq!((reading.power.get(), reading.darkness), (28.0, Darkness::Dark(38.0)));
        assert!(ShadeReading::typed("28 %").is_err());
        assert!(ShadeReading::typed("28 mm=38 %").is_err());
    }
}
