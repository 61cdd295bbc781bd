//! The test piece: what is burned on an offcut first, and what to look for on it.

use super::alternatives;
use super::drawing::{View, burned};
use super::flow::Flow;
use super::style::{BODY, INK, LABEL, RULE, SMALL, STRONG};
use super::table::{Table, column, table};
use super::text::{MOST_LINES, clipped, fit_line, kept, paragraph};
use super::wording::{count, estimated, shop_speed, size};
use crate::outputs::TEST_PIECE_FILE;
use crate::outputs::pdf::{Align, Cell, Fragment, Ink, Pen, Word};
use crate::plan::{Beam, Finished, PATCH, Plan, TestPiece, Try};
use crate::shop::OperationKind;
use crate::units::Mm;
use crate::units::number::fixed;
use kurbo::{Point, Rect};

/// Writes the section.
pub(super) fn write(flow: &mut Flow, plan: &Plan) {
    let Some(piece) = &plan.test_piece else { return };
    let width = flow.width();
    let aside = format!(
        "file {TEST_PIECE_FILE} · {} · {}",
        count(piece.tries.len(), "setting", "settings"),
        estimated(&piece.time)
    );
    let drawing = drawing(piece, width).figure(alternatives::test_piece(piece));
    let table = tries(plan, piece, width);
    flow.section("Test piece to burn first", &aside, drawing.size.height + table.least() + 20.0);
    flow.place(&how(piece, width));
    flow.gap(3.0);
    flow.place(&drawing);
    flow.gap(2.0);
    flow.table(&table);
}

fn how(piece: &TestPiece, width: f64) -> Fragment {
    let order = if piece.is_labelled() {
        "Over each patch stands the first step it is for: 1.2 is operation 2 of run 1."
    } else {
        "The job has nothing to write with: the patches stand in the order of the table, from the left."
    };
    let text = format!(
        "On an offcut of this very sheet of at least {}, with the focus and the air of each step. {order} Go on to run 1 only \
         when every patch is as the table says; where one is not, put the shop’s setting right and build again.",
        size(piece.width, piece.height)
    );
    paragraph(&[Word::new(text, BODY)], width, Align::Left, MOST_LINES)
}

/// The piece, as large as it is where the paper is wide enough.
fn drawing(piece: &TestPiece, width: f64) -> Fragment {
    let page = Rect::new(0.0, 0.0, piece.width.get(), piece.height.get());
    let view = View::fit(page, Rect::new(0.0, 0.0, width, page.height()));
    let view = view.moved_to(Point::ORIGIN, page);
    let outline = view.rect(page);
    let mut drawing = Fragment::new(width, outline.height() + 1.0);
    drawing.stroke(&outline, Pen::new(0.2, RULE).dashed(&[1.2, 0.8]));
    for tried in &piece.tries {
        burned(&mut drawing, view, &tried.operation.burn, ink(tried), 0.25);
    }
    if !piece.is_labelled() {
        for tried in &piece.tries {
            let foot = view.point(Point::new(tried.patch.center().x, tried.patch.y0 - 1.4));
            let room = view.length(PATCH + 3.0);
            fit_line(&mut drawing, foot, Align::Centre, &tried.label(), SMALL, room);
        }
    }
    let beside = outline.x1 + 3.0;
    let scale = format!("scale {}; each patch {} wide", view.ratio(), kept(&Mm::new(PATCH).to_string()));
    if LABEL.width(&scale) < width - beside {
        drawing.text(Point::new(beside, LABEL.capital()), Align::Left, &scale, LABEL);
    }
    drawing
}

/// As dark as its shade, where it has one, so that patches are told apart.
fn ink(tried: &Try) -> Ink {
    let shade = tried.operation.setting.as_ref().and_then(|setting| setting.shade);
    shade.map_or(INK, |shade| INK.share(shade.factor().clamp(0.2, 1.0)))
}

fn tries(plan: &Plan, piece: &TestPiece, width: f64) -> Table {
    let columns =
        [column("patch", 13.0), column("steps", 28.0), column("setting", 62.0), column("what to look for", 0.0)];
    let rows: Vec<Vec<Cell>> = piece
        .tries
        .iter()
        .map(|tried| {
            vec![
                vec![Word::new(tried.label(), STRONG)],
                vec![Word::new(steps(tried), BODY)],
                vec![Word::new(setting(tried), BODY), Word::new(format!(": {}", numbers(plan, tried)), BODY)],
                vec![Word::new(look_for(tried), BODY)],
            ]
        })
        .collect();
    table(&columns, &rows, width)
}

/// The steps that a patch is for, as many as a cell holds.
fn steps(tried: &Try) -> String {
    const MOST: usize = 12;
    let shown: Vec<String> = tried.steps.iter().take(MOST).map(ToString::to_string).collect();
    let more =
        if MOST < tried.steps.len() { format!(" and {} more", tried.steps.len() - MOST) } else { String::new() };
    format!("{}{more}", shown.join(", "))
}

fn setting(tried: &Try) -> String {
    let name = tried.operation.setting.as_ref().map_or("", |s| s.name.as_str());
    format!("{} · {}", tried.operation.kind, clipped(name, 60))
}

/// The numbers to set, as the table of the run has them.
fn numbers(plan: &Plan, tried: &Try) -> String {
    let Some(setting) = &tried.operation.setting else { return String::new() };
    let changed = |word: &str, text: String| {
        let mark = if setting.overridden.contains(&word) { "\u{a0}†" } else { "" };
        format!("{}{mark}", kept(&text))
    };
    let speed = shop_speed(setting.speed, &plan.machine.speed_unit);
    let numbers = [
        Some(changed("speed", speed.unwrap_or_else(|| setting.speed.to_string()))),
        Some(changed("power", setting.power.to_string())),
        (setting.passes != 1).then(|| changed("passes", format!("{} passes", setting.passes))),
        setting.interval.map(|interval| changed("interval", format!("interval {interval}"))),
        setting.focus.map(|focus| changed("focus", format!("focus {focus}"))),
        setting.air.map(|on| changed("air", format!("air {}", if on { "on" } else { "off" }))),
    ];
    numbers.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// What a patch has to show before the sheet is burned.
fn look_for(tried: &Try) -> String {
    let setting = tried.operation.setting.as_ref();
    match tried.operation.kind {
        OperationKind::Cut => cut(tried.operation.finished.as_ref()),
        OperationKind::Score => "three lines alike, none of them through".to_owned(),
        OperationKind::Engrave | OperationKind::Guide if tried.of_photo => {
            "as dark as the photo’s darkest place may become; rows close up without charring".to_owned()
        }
        OperationKind::Engrave | OperationKind::Guide => {
            match setting.and_then(|s| Some((s.shade?, s.card.as_ref()?))) {
                Some((shade, read)) => {
                    format!(
                        "shade {shade}: between the patches of card {} that the run’s table names",
                        clipped(&read.card, 40)
                    )
                }
                None => "even; as dark and as deep as wanted".to_owned(),
            }
        }
    }
}

fn cut(finished: Option<&Finished>) -> String {
    match finished {
        Some(finished) => {
            let square = finished.size(Beam::OnLine).0;
            let opening = finished.width + finished.kerf;
            format!(
                "drops out by itself; cut on the line, so by caliper the square is {} wide and its opening {}, at a kerf of {}",
                hundredths(square),
                hundredths(opening),
                kept(&finished.kerf.to_string())
            )
        }
        None => format!(
            "drops out by itself; cut on the line, so {} less the width of the square is the kerf, which the shop file lacks",
            kept(&Mm::new(PATCH).to_string())
        ),
    }
}

/// A width that a caliper reads.
fn hundredths(length: Mm) -> String {
    kept(&format!("{} mm", fixed(length.get(), 2)))
}
