//! What a job costs: the sheets that it takes, and the hours of the machine.

use super::model::{Run, Sheet};
use crate::shop::{Machine, Price, Stock};
use crate::units::{Percent, Seconds};

/// What a job costs, as far as the shop knows prices.
#[derive(Clone, Debug, Default)]
pub struct Cost {
    /// How many sheets it takes. A sheet is paid whole, whatever is left of it.
    pub sheets: usize,
    /// The share of a sheet as bought that the job's own sheet is; `None` where that is not known, and of an offcut.
    pub used: Option<Percent>,
    /// The sheets; `None` where they have no price, and of an offcut, which was paid for with another job.
    pub material: Option<Price>,
    /// The time on the machine, as estimated.
    pub running: Option<Price>,
    /// All that is known; `None` also where it is in different currencies.
    pub total: Option<Price>,
}

/// Works out what the runs cost; what has no price is left out.
pub(super) fn cost(runs: &[Run], sheet: &Sheet, machine: &Machine, stock: &Stock) -> Cost {
    let sheets = runs.iter().filter_map(|run| run.lay.on.sheet()).max().unwrap_or(0);
    let hours = runs.iter().map(|run| run.time.likely).sum::<Seconds>().get() / 3600.0;
    let price = stock.price.as_ref().filter(|_| !sheet.is_offcut);
    let material = price.map(|price| price.times(sheets as f64));
    let running = machine.hourly.as_ref().map(|price| price.times(hours));
    let total = match (&material, &running) {
        (Some(material), Some(running)) => material.plus(running),
        (one, other) => one.clone().or_else(|| other.clone()),
    };
    Cost { sheets, used: used(sheet, stock), material, running, total }
}

/// The share of a sheet as bought that the job's sheet is.
fn used(sheet: &Sheet, stock: &Stock) -> Option<Percent> {
    let (width, height) = stock.sheet.filter(|_| !sheet.is_offcut)?;
    let bought = width.get() * height.get();
    Some(Percent::new(100.0 * sheet.width.get() * sheet.height.get() / bought)).filter(|p| p.get() <= 100.0)
}
