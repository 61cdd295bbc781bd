//! Entries keep everything else of a shop file byte for byte, however it is written.

use kerfbook::diagnostics::Sink;
use kerfbook::entries::{self, BurnedNumbers, Entry, SettingEntry, ShadesEntry, ShopText};
use kerfbook::recipe::load_shop;
use kerfbook::shop::{OperationKind, Shop};
use kerfbook::source::{FileBytes, MemoryFiles, SourceId, Sources};
use kerfbook::syntax::{Node, parse};
use kerfbook::table::{self, Remarks};
use kerfbook::units::{Mm, Percent};
use proptest::prelude::*;
use std::path::Path;

fn nodes(text: &str) -> Vec<Node> {
    parse(SourceId(0), text, &mut Sink::new()).unwrap_or_else(|| panic!("{text}")).nodes
}

/// Decodes a shop file; it has no errors.
fn shop(text: &str) -> Shop {
    let mut files = MemoryFiles::default();
    files.insert("a.shop.kdl", text.as_bytes().to_vec());
    let (mut sources, mut sink) = (Sources::default(), Sink::new());
    let loaded = load_shop(Path::new("a.shop.kdl"), &files, &mut sources, &mut sink);
    let said: Vec<&str> = sink.iter().map(|d| d.message.as_str()).collect();
    assert!(!sink.has_errors(), "{said:?}\n{text}");
    loaded.unwrap().shop
}

/// How the parts of a shop file may be written.
#[derive(Clone, Debug)]
struct Hand {
    machine: usize,
    stock: usize,
    setting: usize,
    card: usize,
    between: usize,
    crlf: bool,
    mark: bool,
    open_end: bool,
}

const MACHINES: &[&str] = &[
    "machine \"m\" {\n    laser \"diode\" wavelength=\"450 nm\" power=\"10 W\" // label\n    bed \"410 mm\" \"400 mm\"\n    \
     spot \"0.08 mm\" /* old */\n    motion top=\"400 mm/s\" acceleration=\"3000 mm/s2\"\n    focus gauge=\"block\" // by hand\n}",
    "machine m { laser diode wavelength=\"450 nm\" power=\"10 W\"; bed \"410 mm\" \"400 mm\"; spot #\"0.08 mm\"#; motion \
     top=\"400 mm/s\" acceleration=\"3000 mm/s2\" }",
    "machine \"m\" \\\n  about=\"spot \\\"0.1 mm\\\"\" {\n\tlaser \"diode\" wavelength=\"450 nm\" power=\"10 W\"\n\tbed \"410 mm\" \
     \"400 mm\"\n\t/- spot \"9 mm\"\n\tspot (mm)0.08\n\tmotion top=\"400 mm/s\" acceleration=\"3000 mm/s2\" /- top=\"1 mm/s\"\n\n}",
];
const STOCKS: &[&str] = &[
    "stock \"s\" material=\"birch plywood\" thickness=\"3 mm\" kerf=\"0.16 mm\" // measured in may",
    "stock s material=\"birch plywood\" thickness=\"3 mm\"",
    "stock \"s\" /-kerf=\"0.3 mm\" material=#\"birch plywood\"# \\\n    thickness=\"3 mm\" {\n    sheet \"300 mm\" \"600 mm\"\n}",
    "stock \"s\" kerf = (mm)0.2 material=\"birch plywood\" thickness=\"3 mm\" /- { sheet 1 2 }",
];
const SETTINGS: &[&str] = &[
    "setting \"dark\" machine=\"m\" stock=\"s\" operation=\"engrave\" speed=\"120 mm/s\" power=\"62 %\" interval=\"0.1 mm\" how=\"by \\\"eye\\\"\"",
    "setting dark machine=m stock=s operation=engrave speed=\"120 mm/s\" power=\"62 %\" passes=3 interval=\"0.1 mm\" air=#false; \
     setting \"other\" machine=\"m\" stock=\"s\" operation=\"cut\" speed=\"5 mm/s\" power=\"90 %\" /* last */",
    "/- setting \"dark\" machine=\"m\"\nsetting \"rows\" machine=\"m\" stock=\"s\" operation=\"engrave\" speed=\"100 mm/s\" power=\"50 %\" interval=\"0.1 mm\" /-air=#true",
];
const CARDS: &[&str] = &[
    "",
    "shade-card \"t\" machine=\"m\" stock=\"s\" setting=\"dark\" {\n    step power=\"10 %\" darkness=\"6 %\" // pale\n    \
     // between\n    step power=\"40 %\" darkness=\"60 %\"\n}",
    "shade-card t machine=m stock=s setting=dark { step power=\"20 %\" darkness=\"6 %\"; step power=\"30 %\" darkness=\"60 %\"; }",
];
const BETWEEN: &[&str] =
    &["\n", "\n\n// note: stock \"s\" kerf=\"9 mm\"\n", "\n/* kerf=\"1 mm\" /* in */ */\n", " // end\n\n\n"];

fn hands() -> impl Strategy<Value = Hand> {
    let parts = (0..MACHINES.len(), 0..STOCKS.len(), 0..SETTINGS.len(), 0..CARDS.len(), 0..BETWEEN.len());
    (parts, any::<[bool; 3]>()).prop_map(|((machine, stock, setting, card, between), [crlf, mark, open_end])| {
        Hand { machine, stock, setting, card, between, crlf, mark, open_end }
    })
}

fn written(hand: &Hand) -> String {
    let parts = [MACHINES[hand.machine], STOCKS[hand.stock], SETTINGS[hand.setting], CARDS[hand.card]];
    let between = BETWEEN[hand.between];
    let mut text: String = parts.iter().filter(|p| !p.is_empty()).map(|p| format!("{p}{between}")).collect();
    if hand.open_end {
        text.truncate(text.trim_end().len());
    }
    if hand.crlf {
        text = text.replace('\n', "\r\n");
    }
    if hand.mark { format!("\u{FEFF}{text}") } else { text }
}

/// The words of a text that are neither values nor blanks: comments and everything commented out, in order.
fn comments(text: &str) -> Vec<&str> {
    [
        "// label",
        "/* old */",
        "// by hand",
        "/- spot",
        "/- top",
        "// measured in may",
        "/-kerf",
        "/- { sheet",
        "/* last */",
        "/- setting",
        "/-air",
        "// pale",
        "// between",
        "// note",
        "/* in */",
        "// end",
    ]
    .into_iter()
    .filter(|c| text.contains(c))
    .collect()
}

/// Everything that an entry may not touch.
fn assert_kept(old: &str, entry: &Entry, edited: &[&str]) {
    let new = &entry.text;
    assert_eq!(comments(old), comments(new), "{old}\n---\n{new}");
    assert_eq!(old.starts_with('\u{FEFF}'), new.starts_with('\u{FEFF}'));
    let lone = |t: &str| t.replace("\r\n", "").contains('\n');
    assert_eq!(lone(old) && old.contains('\r'), lone(new) && new.contains('\r'), "line ends are mixed: {new:?}");
    assert_eq!(old.ends_with('\n'), new.ends_with('\n'));
    // Nodes of other kinds are the same bytes, in the same order.
    let others = |text: &str| -> Vec<String> {
        let all = nodes(text);
        let kept = all.iter().filter(|n| !edited.contains(&n.name.value.as_str()));
        kept.map(|n| text[n.span.start..n.span.end].to_owned()).collect()
    };
    assert_eq!(others(old), others(new));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_kerf(hand in hands(), kerf in 0.05_f64..0.5) {
        let text = written(&hand);
        let all = nodes(&text);
        let kerf = Mm::new((kerf * 1000.0).round() / 1000.0);
        let entry = entries::kerf(ShopText { text: &text, nodes: &all }, "s", kerf).unwrap();
        prop_assert_eq!(shop(&entry.text).stock("s").unwrap().kerf, Some(kerf));
        assert_kept(&text, &entry, &["stock"]);
    }

    #[test]
    fn a_beam(hand in hands(), spot in 0.02_f64..0.4, range in 0.1_f64..9.0) {
        let text = written(&hand);
        let all = nodes(&text);
        let [spot, range] = [spot, range].map(|v| Mm::new((v * 1000.0).round() / 1000.0));
        let entry = entries::beam(ShopText { text: &text, nodes: &all }, "m", spot, range).unwrap();
        let machine = shop(&entry.text).machine("m").unwrap().clone();
        prop_assert_eq!((machine.spot, machine.rayleigh), (spot, Some(range)));
        assert_kept(&text, &entry, &["machine"]);
    }

    #[test]
    fn a_setting(hand in hands(), power in 1_u32..=100, passes in 1_u32..4, how in "[a-zA-Z0-9äß{} ,.;#/\"]{0,20}") {
        let text = written(&hand);
        let all = nodes(&text);
        let entry = SettingEntry {
            name: "dark".into(), machine: "m".into(), stock: "s".into(), operation: OperationKind::Engrave,
            speed: "90 mm/s".into(), power: Percent::new(f64::from(power)), passes, interval: Some(Mm::new(0.12)),
            focus: None, air: None, measured: "2027-01-02".into(), how: how.clone(),
        };
        let before = shop(&text);
        let known = before.settings.iter().find(|s| s.name == "dark" && s.is_for("m", "s"));
        let written = entries::setting(ShopText { text: &text, nodes: &all }, &entry, known).unwrap();
        let shop = shop(&written.text);
        let found = shop.settings.iter().find(|s| s.name == "dark").unwrap();
        prop_assert_eq!((found.power.get(), found.passes, found.speed.get()), (f64::from(power), passes, 90.0));
        prop_assert_eq!(found.air, None);
        assert_kept(&text, &written, &["setting"]);
    }

    #[test]
    fn a_shade_card(hand in hands(), powers in proptest::collection::btree_set(1_u32..100, 2..9)) {
        let text = written(&hand);
        let all = nodes(&text);
        let steps: Vec<(Percent, Percent)> =
            powers.iter().map(|p| (Percent::new(f64::from(*p)), Percent::new(f64::from(*p) * 0.9))).collect();
        let entry = ShadesEntry {
            name: None, machine: "m".into(), stock: "s".into(), setting: "dark".into(), steps: steps.clone(),
            burned: BurnedNumbers { speed: "90 mm/s".into(), passes: 2, interval: Some(Mm::new(0.12)), focus: Mm::new(-0.5) },
        };
        let written = entries::shades(ShopText { text: &text, nodes: &all }, &entry).unwrap();
        let shop = shop(&written.text);
        prop_assert_eq!(shop.shade_cards.len(), 1);
        let near = |(a, b): (&(Percent, Percent), &(Percent, Percent))| {
            (a.0.get() - b.0.get()).abs() < 1e-9 && (a.1.get() - b.1.get()).abs() < 1e-9
        };
        prop_assert_eq!(shop.shade_cards[0].steps.len(), steps.len());
        let burned = shop.shade_cards[0].burned;
        prop_assert_eq!((burned.speed.unwrap().get(), burned.passes, burned.focus.unwrap().get()), (90.0, Some(2), -0.5));
        prop_assert!(shop.shade_cards[0].steps.iter().zip(&steps).all(near));
        assert_kept(&text, &written, &["shade-card"]);
    }

    #[test]
    fn a_hostile_table_is_refused_or_read_and_never_more(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let layouts: &[&[&str]] = &[&["height", "width"]];
        let head = [b"height,width\n".as_slice(), &bytes].concat();
        for bytes in [&bytes, &head] {
            let file = FileBytes { path: "a.csv".into(), bytes: bytes.as_slice().into(), hash: String::new() };
            let mut sources = Sources::default();
            let read = table::read(&file, "a.csv", None, Remarks::Hash, &mut sources, &mut Sink::new());
            if let Some(Ok(table)) = read.map(|table| kerfbook::readings::Table::of(&table, &sources, layouts)) {
                for row in &table.rows {
                    let _ = row.quantity("width", kerfbook::units::Dimension::Length);
                }
            }
        }
    }
}

/// What a setting takes from another one may be another number, so one that is measured says everything itself.
#[test]
fn a_setting_like_another_one_is_written_where_it_stands() {
    let text = "machine \"m\" { laser \"diode\" wavelength=\"450 nm\" power=\"10 W\"; bed \"400 mm\" \"400 mm\"; spot \"0.1 mm\"; motion top=\"400 mm/s\" acceleration=\"3000 mm/s2\"; }
stock \"s\" material=\"alder\" thickness=\"3 mm\"
setting \"through\" machine=\"m\" stock=\"s\" operation=\"cut\" speed=\"6 mm/s\" power=\"95 %\" passes=2 focus=\"-1 mm\" air=#true
setting \"gentle\" like=\"through\" speed=\"8 mm/s\" // for thin ribs
";
    let before = shop(text);
    let entry = SettingEntry {
        name: "gentle".into(),
        machine: "m".into(),
        stock: "s".into(),
        operation: OperationKind::Cut,
        speed: "9 mm/s".into(),
        power: Percent::new(80.0),
        passes: 1,
        interval: None,
        focus: None,
        air: None,
        measured: "2027-01-02".into(),
        how: "B2".into(),
    };
    let known = before.settings.iter().find(|s| s.name == "gentle");
    let written = entries::setting(ShopText { text, nodes: &nodes(text) }, &entry, known).unwrap();
    let after = shop(&written.text);
    let gentle = after.settings.iter().find(|s| s.name == "gentle").unwrap();
    assert_eq!((after.settings.len(), gentle.speed.get(), gentle.passes), (2, 9.0, 1));
    assert_eq!((gentle.focus, gentle.air), (Some(Mm::ZERO), Some(false)));
    assert!(written.text.contains("how=\"B2\" // for thin ribs"), "{}", written.text);
}

#[test]
fn what_stands_in_another_file_is_not_written_here() {
    let text = "use \"stocks.shop.kdl\"\n";
    let error = entries::kerf(ShopText { text, nodes: &nodes(text) }, "s", Mm::new(0.2)).unwrap_err();
    assert!(error.repair.contains("--shop"), "{error}");
}
