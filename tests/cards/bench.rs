//! Benches to burn cards on, and cards built in memory.

use kerfbook::cards::{CardError, On, Wish, recipe};
use kerfbook::diagnostics::{Severity, Sink};
use kerfbook::driver::{Request, build};
use kerfbook::figures::Cache;
use kerfbook::plan::Plan;
use kerfbook::recipe::load_shop;
use kerfbook::shop::Shop;
use kerfbook::source::{MemoryFiles, Sources};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// An invented desk machine with a small bed, and nothing measured.
pub const SMALL: &str = "/- kdl-version 2
machine \"small-diode\" speed-unit=\"mm/min\" {
    laser \"diode\" wavelength=\"445 nm\" power=\"1.6 W\"
    bed \"180 mm\" \"180 mm\"
    spot \"0.06 mm\"
    motion top=\"60 mm/s\" acceleration=\"800 mm/s2\"
}
stock \"card-1\" material=\"cardboard\" thickness=\"1.2 mm\"
stock \"signs\" material=\"vinyl\" thickness=\"1 mm\"
stock \"mystery\" material=\"the grey stuff\" thickness=\"1 mm\"
";

/// An invented tube with pinned colours and a few settings.
pub const PINNED: &str = "/- kdl-version 2
machine \"pinned-tube\" air-assist=#true enclosed=#true {
    laser \"co2\" wavelength=\"10.6 um\" power=\"60 W\"
    bed \"900 mm\" \"600 mm\"
    spot \"0.15 mm\"
    motion top=\"500 mm/s\" acceleration=\"6000 mm/s2\"
    start \"page\"
    colours engrave=\"#4b3621\" score=\"#0072b2\" cut=\"#d55e00\"
}
stock \"lime-4\" material=\"limewood\" thickness=\"4 mm\" {
    sheet \"600 mm\" \"300 mm\"
}
setting \"deep\" machine=\"pinned-tube\" stock=\"lime-4\" operation=\"engrave\" speed=\"350 mm/s\" power=\"30 %\" interval=\"0.12 mm\"
setting \"fast\" machine=\"pinned-tube\" stock=\"lime-4\" operation=\"cut\" speed=\"18 mm/s\" power=\"70 %\" air=#true
";

/// An invented machine whose beam nobody has measured yet, and one line that was tried on it.
pub const NEW: &str = "/- kdl-version 2
machine \"new-diode\" {
    laser \"diode\" wavelength=\"450 nm\" power=\"5 W\"
    bed \"300 mm\" \"250 mm\"
    motion top=\"200 mm/s\" acceleration=\"1500 mm/s2\"
}
stock \"lime-4\" material=\"limewood\" thickness=\"4 mm\"
setting \"thin\" machine=\"new-diode\" stock=\"lime-4\" operation=\"score\" speed=\"40 mm/s\" power=\"30 %\" measured=\"2027-05-02\"
";

/// A shop, and the machine and stock that a card is for.
pub struct Bench {
    pub machine: &'static str,
    pub stock: &'static str,
    pub text: String,
    pub shop: Shop,
}

impl Bench {
    /// The shop of the demo.
    pub fn demo() -> Self {
        let text = std::fs::read_to_string("recipes/bench.shop.kdl").unwrap();
        Self::of("bench-diode", "birch-3", &text)
    }

    pub fn of(machine: &'static str, stock: &'static str, text: &str) -> Self {
        Self { machine, stock, text: text.to_owned(), shop: shop_of(text) }
    }

    pub fn all() -> Vec<Self> {
        vec![Self::demo(), Self::of("small-diode", "card-1", SMALL), Self::of("pinned-tube", "lime-4", PINNED)]
    }

    pub fn on(&self) -> On<'_> {
        On {
            shop: &self.shop,
            machine: self.shop.machine(self.machine).unwrap(),
            stock: self.shop.stock(self.stock).unwrap(),
            shop_file: "bench.shop.kdl",
            file: "card.recipe.kdl",
            width: None,
            height: None,
            label_setting: None,
        }
    }

    pub fn make(&self, wish: &Wish) -> Result<String, CardError> {
        recipe(wish, &self.on())
    }
}

/// A shop file's text, decoded without a word.
pub fn shop_of(text: &str) -> Shop {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", text.as_bytes().to_vec());
    let (mut sources, mut sink) = (Sources::default(), Sink::new());
    let loaded = load_shop(Path::new("bench.shop.kdl"), &files, &mut sources, &mut sink);
    let said: Vec<&str> = sink.iter().map(|d| d.message.as_str()).collect();
    assert!(said.is_empty(), "{said:?}");
    loaded.unwrap().shop
}

/// The files and the plan of a card.
pub fn files_of(bench: &Bench, wish: &Wish) -> (BTreeMap<String, Vec<u8>>, Plan) {
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", bench.text.as_bytes().to_vec());
    files.insert("card.recipe.kdl", bench.make(wish).unwrap().into_bytes());
    let request = Request { recipe: PathBuf::from("card.recipe.kdl"), ..Request::default() };
    let (build, made) = build(&request, &files, &Cache::default());
    let heard = build.findings.iter().filter(|d| d.severity != Severity::Advice);
    let said: Vec<String> = heard.map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    assert!(said.is_empty(), "{wish:?} on {}: {said:#?}", bench.machine);
    let made = made.unwrap().unwrap().into_iter().map(|f| (f.path, f.bytes)).collect();
    (made, build.plan.unwrap())
}

/// The plan of a card; `None` where the bench lacks the setting that it is burned with.
pub fn card(bench: &Bench, wish: &Wish) -> Option<Plan> {
    let text = match bench.make(wish) {
        Ok(text) => text,
        Err(error) => {
            assert!(error.message.starts_with("nothing is measured"), "{error}");
            return None;
        }
    };
    let mut files = MemoryFiles::default();
    files.insert("bench.shop.kdl", bench.text.as_bytes().to_vec());
    files.insert("card.recipe.kdl", text.clone().into_bytes());
    let request = Request { recipe: PathBuf::from("card.recipe.kdl"), ..Request::default() };
    let build = kerfbook::driver::compile(&request, &files, &Cache::default());
    let heard = build.findings.iter().filter(|d| d.severity != Severity::Advice);
    let said: Vec<String> = heard.map(|d| format!("{}: {}", d.finding.rule, d.message)).collect();
    assert!(said.is_empty(), "{wish:?} on {}: {said:#?}\n{text}", bench.machine);
    build.plan
}
