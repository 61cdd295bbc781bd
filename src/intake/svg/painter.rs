//! The resolved tree painted, shape by shape, into ink and lines.

use super::census::Census;
use super::clip::Sheet;
use super::cut::{Cut, Keep, PaintedLine, cut, pieces};
use super::document::Document;
use super::document::NodeId;
use super::kinds::Kind;
use super::layers::Layers;
use super::outline::outline;
use super::page::{PX_PER_MM, Page};
use super::path_data::PathFault;
use super::strokes::Strokes;
use super::tone::{Flat, Tone};
use crate::geometry::{
    Caps, Corners, Drawing, FillRule, GeometryError, Line, OpenEnds, Part, Pen, Region, is_closed, subpaths,
};
use crate::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Rect, Shape};
use std::collections::{BTreeMap, BTreeSet};
use usvg::{BlendMode, Group, Node, Paint, PaintOrder, Path, Stroke, Transform, Tree};

/// Areas are worked out at this size at least (mm): small drawings are often enlarged later, and chords that
/// are fine enough for a 6 mm icon would show on a board.
const WORKING_SIZE: f64 = 300.0;
/// Nor are they enlarged more than this for it.
const MOST_ENLARGED: f64 = 10_000.0;
/// Nothing on a bed lies farther out than this, in mm.
const FARTHEST: f64 = 10_000.0;
/// Ends of a filled outline that are closer than this meet.
const ENDS_MEET: f64 = 0.01;
/// Dashes of one line that are drawn at most.
const MOST_DASHES: f64 = 20_000.0;
/// Path segments of one drawing that are read at most.
const MOST_SEGMENTS: usize = 2_000_000;

/// What a flat colour paints, as painted: parts that others hide later are counted in.
#[derive(Clone, Debug, PartialEq)]
pub struct ColourUse {
    /// Red, green and blue.
    pub colour: [u8; 3],
    /// Whether it strokes, or fills.
    pub is_stroke: bool,
    /// Shapes painted with it, copies counted one by one.
    pub shapes: usize,
    /// The area filled in mm², or the length stroked in mm.
    pub extent: f64,
}

/// What came of painting.
pub(super) struct Painting {
    pub drawing: Drawing,
    pub colours: Vec<ColourUse>,
    /// Elements that reached the painter.
    pub seen: BTreeSet<NodeId>,
    /// Faults in path data, by element.
    pub faults: BTreeMap<NodeId, PathFault>,
    /// Whether there were more segments than are read.
    pub too_many: Option<NodeId>,
}

/// Paints `tree`. Elements are found by `origins`; what is to be said is counted in `census`.
pub(super) fn paint(
    document: &Document,
    page: &Page,
    tree: &Tree,
    origins: &BTreeMap<String, NodeId>,
    strokes: Strokes,
    census: &mut Census,
) -> Painting {
    let enlarged = enlargement(page, tree);
    let mut painter = Painter {
        document,
        origins,
        strokes,
        census,
        fonts: tree.fontdb(),
        to_frame: Affine::scale(enlarged / PX_PER_MM),
        enlarged,
        page: page.bounded.then(|| Sheet::new(page.rect_mm().scale_from_origin(enlarged))),
        layers: Layers::default(),
        parts: Vec::new(),
        clips: BTreeMap::new(),
        colours: BTreeMap::new(),
        uses: BTreeMap::new(),
        current: None,
        segments: 0,
        seen: BTreeSet::new(),
        faults: BTreeMap::new(),
        too_many: None,
    };
    painter.group(tree.root(), &Light { clip: None, alpha: 1.0, blended: false });
    painter.finish()
}

/// How much larger than life areas are worked out.
fn enlargement(page: &Page, tree: &Tree) -> f64 {
    let b = tree.root().abs_bounding_box();
    let (x0, y0, x1, y1) = (b.left(), b.top(), b.right(), b.bottom());
    let content = Rect::new(x0.into(), y0.into(), x1.into(), y1.into()).scale_from_origin(1.0 / PX_PER_MM);
    let shown = if page.bounded { content.intersect(page.rect_mm()) } else { content };
    let size = shown.width().max(shown.height());
    let reach = [content.x0, content.y0, content.x1, content.y1].into_iter().map(f64::abs).fold(0.0, f64::max);
    if !(size > 0.0 && reach.is_finite()) {
        return 1.0;
    }
    (WORKING_SIZE / size).min(0.9 * FARTHEST / reach).clamp(1.0, MOST_ENLARGED)
}

/// What holds for everything in a group.
#[derive(Clone)]
pub(super) struct Light {
    clip: Option<Sheet>,
    alpha: f32,
    blended: bool,
}

pub(super) struct Painter<'a, 'd> {
    pub(super) document: &'a Document<'d>,
    pub(super) origins: &'a BTreeMap<String, NodeId>,
    strokes: Strokes,
    pub(super) census: &'a mut Census,
    pub(super) fonts: &'a usvg::fontdb::Database,
    /// From CSS pixels to the working frame.
    pub(super) to_frame: Affine,
    enlarged: f64,
    page: Option<Sheet>,
    layers: Layers,
    parts: Vec<Part>,
    /// Clip paths and masks worked out, by id and transform.
    pub(super) clips: BTreeMap<(String, [u64; 6]), Region>,
    /// Dark flat fills, with the first element that has each.
    colours: BTreeMap<[u8; 3], NodeId>,
    /// Shapes and extents of flat colours: of fills, then of strokes.
    uses: BTreeMap<(bool, [u8; 3]), (usize, f64)>,
    /// The last element named; markers, which have no name, follow the line they stand on.
    pub(super) current: Option<NodeId>,
    segments: usize,
    pub(super) seen: BTreeSet<NodeId>,
    faults: BTreeMap<NodeId, PathFault>,
    too_many: Option<NodeId>,
}

pub(super) fn affine(t: Transform) -> Affine {
    Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
}

fn contains(outer: Rect, inner: Rect, slack: f64) -> bool {
    inner.x0 >= outer.x0 - slack
        && inner.y0 >= outer.y0 - slack
        && inner.x1 <= outer.x1 + slack
        && inner.y1 <= outer.y1 + slack
}

/// How overlaps of a path are filled.
pub(super) fn rule_of(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}

/// The lines that a stroke draws along a placed path, each subpath one.
pub(super) fn lines_of(drawn: &BezPath, stroke: &Stroke, to_frame: Affine) -> Vec<PaintedLine> {
    let width = Mm::new(f64::from(stroke.width().get()) * to_frame.determinant().abs().sqrt());
    let corners = match stroke.linejoin() {
        usvg::LineJoin::Round => Corners::Round,
        usvg::LineJoin::Bevel => Corners::Bevel,
        usvg::LineJoin::Miter | usvg::LineJoin::MiterClip => {
            Corners::Mitre { limit: f64::from(stroke.miterlimit().get()) }
        }
    };
    let caps = match stroke.linecap() {
        usvg::LineCap::Butt => Caps::Butt,
        usvg::LineCap::Round => Caps::Round,
        usvg::LineCap::Square => Caps::Square,
    };
    let lines = subpaths(drawn).into_iter().filter(|p| p.elements().len() > 1);
    lines.map(|path| PaintedLine { line: Line { path, width: Some(width), pen: Pen { caps, corners } } }).collect()
}

impl Painter<'_, '_> {
    pub(super) fn group(&mut self, group: &Group, around: &Light) {
        let mut light = Light {
            alpha: around.alpha * group.opacity().get(),
            blended: around.blended || group.blend_mode() != BlendMode::Normal,
            clip: around.clip.clone(),
        };
        let at = self.to_frame * affine(group.abs_transform());
        let clip = group.clip_path().map(|clip| self.clip_region(clip, at));
        if group.mask().is_some() {
            // What is said of a mask is said of the first shape that it hides parts of.
            self.current = self.first_named(group).or(self.current);
        }
        let mask = group.mask().map(|mask| self.mask_region(mask, at));
        for region in [clip, mask].into_iter().flatten() {
            let region = light.clip.map_or_else(|| region.clone(), |outer| outer.region.overlap(&region));
            light.clip = Some(Sheet::of(region));
        }
        for child in group.children() {
            match child {
                Node::Group(inner) => self.group(inner, &light),
                Node::Path(path) => self.path(path, &light),
                Node::Text(text) => self.text(text, &light),
                // Pictures never reach the resolver.
                Node::Image(_) => {}
            }
        }
    }

    fn path(&mut self, path: &Path, light: &Light) {
        let node = self.origins.get(path.id()).copied();
        self.current = node.or(self.current);
        self.seen.extend(node);
        if !path.is_visible() || self.too_many.is_some() {
            return;
        }
        let (outline, fault) = outline(self.document, node, path.data());
        if let (Some(node), Some(fault)) = (node, fault) {
            self.faults.insert(node, fault);
        }
        if !self.counts(&outline) {
            return;
        }
        let to_frame = self.to_frame * affine(path.abs_transform());
        let placed = to_frame * outline.clone();
        if self.is_far(&placed) {
            return;
        }
        let shape = PlacedShape { outline, placed, to_frame };
        match path.paint_order() {
            PaintOrder::FillAndStroke => {
                self.fill(path, &shape, light);
                self.stroke(path, &shape, light);
            }
            PaintOrder::StrokeAndFill => {
                self.stroke(path, &shape, light);
                self.fill(path, &shape, light);
            }
        }
    }

    /// The first element that is drawn in a group.
    fn first_named(&self, group: &Group) -> Option<NodeId> {
        group.children().iter().find_map(|child| match child {
            Node::Group(inner) => self.first_named(inner),
            Node::Path(path) => self.origins.get(path.id()).copied(),
            Node::Text(text) => self.origins.get(text.id()).copied(),
            Node::Image(_) => None,
        })
    }

    /// The outline of a path in its own units.
    pub(super) fn outline_of(&self, path: &Path) -> BezPath {
        outline(self.document, self.origins.get(path.id()).copied(), path.data()).0
    }

    /// Counts the segments of an outline. Tells whether there is room for them.
    pub(super) fn counts(&mut self, outline: &BezPath) -> bool {
        self.segments += outline.elements().len();
        if self.segments > MOST_SEGMENTS {
            self.too_many = self.current;
        }
        self.too_many.is_none()
    }

    /// Notes what lies on no bed.
    fn is_far(&mut self, placed: &BezPath) -> bool {
        let b = placed.bounding_box();
        let reach = [b.x0, b.y0, b.x1, b.y1].into_iter().map(f64::abs).fold(0.0, f64::max) / self.enlarged;
        let far = !reach.is_finite() || reach > FARTHEST;
        if far {
            self.note(Kind::FarAway);
        }
        far
    }

    pub(super) fn note(&mut self, kind: Kind) {
        if let Some(node) = self.current {
            self.census.note(kind, node);
        }
    }

    /// The tone of a paint in its group; notes translucency.
    fn tone(&mut self, flat: Flat, light: &Light) -> Tone {
        let flat = Flat { alpha: flat.alpha * f64::from(light.alpha), ..flat };
        if flat.alpha <= 0.0 {
            self.note(Kind::Hidden);
        } else if flat.alpha < 0.995 || light.blended {
            self.note(Kind::Translucent);
        }
        flat.tone()
    }

    fn fill(&mut self, path: &Path, shape: &PlacedShape, light: &Light) {
        let Some(fill) = path.fill() else { return };
        let region = match Region::from_path(&shape.placed, rule_of(fill.rule())) {
            Ok(region) => region,
            Err(error) => return self.refused(error),
        };
        if region.is_empty() {
            if path.stroke().is_none() {
                self.note(Kind::NoArea);
            }
            return;
        }
        self.count_use(fill.paint(), false, || region.area().get());
        if self.is_tiled(fill.paint(), fill.opacity().get(), &region, shape, light) {
            self.part(shape, true);
            return;
        }
        match self.tone(Flat::of(fill.paint(), fill.opacity().get()), light) {
            Tone::Dark => {
                if let (usvg::Paint::Color(c), Some(node)) = (fill.paint(), self.current) {
                    self.colours.entry([c.red, c.green, c.blue]).or_insert(node);
                }
                if let Some(seen) = self.clipped_area(region, light) {
                    self.part(shape, true);
                    self.layers.add_dark(seen);
                }
            }
            Tone::White => {
                if let Some(seen) = self.clipped_area(region, light) {
                    self.layers.add_white(seen, self.current);
                }
            }
            Tone::Neither => {}
        }
    }

    /// The area inside clip path and page; `None` when nothing is left.
    fn clipped_area(&mut self, region: Region, light: &Light) -> Option<Region> {
        let mut region = region;
        let bounds = region.bounds()?;
        if let Some(clip) = &light.clip
            && !clip.rectangle.is_some_and(|r| contains(r, bounds, 0.0))
        {
            region = region.overlap(&clip.region);
            if region.is_empty() {
                self.note(Kind::ClippedAway);
                return None;
            }
        }
        let bounds = region.bounds()?;
        let slack = ENDS_MEET * self.enlarged;
        // A document without a size has no page and nothing outside it.
        if let Some(page) = self.page.clone()
            && !page.rectangle.is_some_and(|r| contains(r, bounds, slack))
        {
            self.note(Kind::OutsidePage);
            region = region.overlap(&page.region);
        }
        (!region.is_empty()).then_some(region)
    }

    fn stroke(&mut self, path: &Path, shape: &PlacedShape, light: &Light) {
        let Some(stroke) = path.stroke() else { return };
        let tone = self.tone(Flat::of(stroke.paint(), stroke.opacity().get()), light);
        if tone == Tone::Neither {
            return;
        }
        let drawn = self.dashed(shape, stroke);
        let lines = lines_of(&drawn, stroke, shape.to_frame);
        self.count_use(stroke.paint(), true, || lines.iter().map(|l| l.line.path.perimeter(0.1)).sum());
        if self.strokes == Strokes::Areas || matches!(stroke.paint(), Paint::Pattern(_)) {
            return self.bands(&lines, stroke, tone, shape, light);
        }
        if tone == Tone::White {
            for line in lines {
                let band = line.band_through(shape.to_frame);
                if let Some(seen) = self.clipped_area(band, light) {
                    self.layers.add_white(seen, self.current);
                }
            }
            return;
        }
        let mut any = false;
        for line in lines {
            any |= if line.is_dot() {
                let seen = self.clipped_area(line.band(), light);
                let any = seen.is_some();
                self.layers.add_dark(seen.unwrap_or_default());
                any
            } else {
                self.dark_line(line, light)
            };
        }
        if any {
            self.part(shape, false);
        }
    }

    fn count_use(&mut self, paint: &Paint, is_stroke: bool, extent: impl FnOnce() -> f64) {
        if let Paint::Color(c) = paint {
            let used = self.uses.entry((is_stroke, [c.red, c.green, c.blue])).or_default();
            used.0 += 1;
            used.1 += extent();
        }
    }

    /// Paints what a pattern leaves of an area. Tells whether it could.
    fn is_tiled(
        &mut self,
        paint: &Paint,
        opacity: f32,
        area: &Region,
        shape: &PlacedShape,
        light: &Light,
    ) -> bool {
        let Paint::Pattern(pattern) = paint else { return false };
        let Some((dark, white)) = self.pattern_areas(pattern, area, shape.to_frame) else {
            self.note(Kind::Pattern);
            return false;
        };
        let alpha = f64::from(opacity) * f64::from(light.alpha);
        let mut shows = |grey: f64| self.tone(Flat { rgb: [grey; 3], alpha: f64::from(opacity) }, light);
        let (shows_dark, shows_white) = (shows(0.0) == Tone::Dark, shows(1.0) == Tone::White);
        if alpha > 0.0
            && shows_white
            && let Some(seen) = self.clipped_area(white, light)
        {
            self.layers.add_white(seen, self.current);
        }
        if shows_dark && let Some(seen) = self.clipped_area(dark, light) {
            self.layers.add_dark(seen);
        }
        true
    }

    /// Paints a stroke as the area that it inks.
    fn bands(&mut self, lines: &[PaintedLine], stroke: &Stroke, tone: Tone, shape: &PlacedShape, light: &Light) {
        let bands: Vec<Region> = lines.iter().map(|line| line.band_through(shape.to_frame)).collect();
        let all = Region::union(&bands.iter().collect::<Vec<_>>());
        if self.is_tiled(stroke.paint(), stroke.opacity().get(), &all, shape, light) {
            return;
        }
        let Some(seen) = self.clipped_area(all, light) else { return };
        match tone {
            Tone::Dark => {
                self.part(shape, false);
                self.layers.add_dark(seen);
            }
            Tone::White => self.layers.add_white(seen, self.current),
            Tone::Neither => {}
        }
    }

    /// Adds what clip path and page leave of a line. Tells whether that is anything.
    fn dark_line(&mut self, line: PaintedLine, light: &Light) -> bool {
        let inside = |s: &Sheet, r: Rect, slack| s.rectangle.is_some_and(|outer| contains(outer, r, slack));
        let mut left = vec![line];
        if let Some(clip) = light.clip.clone()
            && !inside(&clip, left[0].reach(), 0.0)
        {
            match cut(&left[0], &clip.region, Keep::Inside) {
                Cut::Whole => {}
                Cut::Lines(lines) => left = lines,
                Cut::Ink(ink) => {
                    let seen = self.clipped_area(ink, &Light { clip: None, ..light.clone() });
                    let any = seen.is_some();
                    if let Some(seen) = seen {
                        self.layers.add_dark(seen);
                    }
                    return any;
                }
            }
            if left.is_empty() {
                self.note(Kind::ClippedAway);
            }
        }
        let mut any = false;
        for line in left {
            // The middle decides: a line along the edge of the page is a common way to draw the cut.
            let slack = ENDS_MEET * self.enlarged;
            let page = self.page.clone().filter(|p| !inside(p, line.line.path.bounding_box(), slack));
            let Some(page) = page else {
                self.layers.add_line(line);
                any = true;
                continue;
            };
            self.note(Kind::OutsidePage);
            for path in pieces(&line.line.path, &page.region, Keep::Inside).unwrap_or_default() {
                any = true;
                self.layers.add_line(PaintedLine { line: Line { path, ..line.line.clone() } });
            }
        }
        any
    }

    /// The middle of a stroke with its dashes cut, in the working frame.
    fn dashed(&mut self, shape: &PlacedShape, stroke: &Stroke) -> BezPath {
        let Some(dashes) = stroke.dasharray() else { return shape.placed.clone() };
        let dashes: Vec<f64> = dashes.iter().map(|d| f64::from(*d)).collect();
        let period: f64 = dashes.iter().sum();
        let count = shape.outline.perimeter(0.01 * period.max(1e-6)) / period * dashes.len() as f64;
        if !(count.is_finite() && count <= MOST_DASHES) {
            self.note(Kind::TooManyDashes);
            return shape.placed.clone();
        }
        let cut = kurbo::dash(shape.outline.iter(), f64::from(stroke.dashoffset()), &dashes);
        shape.to_frame * cut.collect::<BezPath>()
    }

    fn part(&mut self, shape: &PlacedShape, filled: bool) {
        let open = if filled { open_ends(&shape.placed, ENDS_MEET * self.enlarged) } else { Vec::new() };
        self.parts.push(Part {
            element: self.current.map(|id| self.document.element(id)),
            path: shape.placed.clone(),
            filled,
            open,
        });
    }

    pub(super) fn refused(&mut self, error: GeometryError) {
        match error {
            GeometryError::NotFinite | GeometryError::TooFar => self.note(Kind::FarAway),
            GeometryError::TooMany => self.too_many = self.current,
        }
    }

    fn finish(self) -> Painting {
        if self.colours.len() > 1 {
            for ([r, g, b], node) in &self.colours {
                self.census.remark(Kind::ColoursMerged, *node, format!("`#{r:02x}{g:02x}{b:02x}`"));
            }
        }
        let mut colours: Vec<ColourUse> = self
            .uses
            .iter()
            .map(|(&(is_stroke, colour), &(shapes, extent))| {
                let extent =
                    if is_stroke { extent / self.enlarged } else { extent / (self.enlarged * self.enlarged) };
                ColourUse { colour, is_stroke, shapes, extent }
            })
            .collect();
        colours.sort_by(|a, b| a.is_stroke.cmp(&b.is_stroke).then(b.extent.total_cmp(&a.extent)));
        let (ink, lines, covering) = self.layers.finish();
        for node in covering {
            self.census.note(Kind::WhiteCovers, node);
        }
        let drawing = Drawing { ink, lines, parts: self.parts }.transform(Affine::scale(1.0 / self.enlarged));
        Painting { drawing, colours, seen: self.seen, faults: self.faults, too_many: self.too_many }
    }
}

/// A shape where it is drawn.
struct PlacedShape {
    /// In the element's own units.
    outline: BezPath,
    /// In the working frame.
    placed: BezPath,
    to_frame: Affine,
}

/// Clip paths are often huge on purpose; what lies beyond any bed makes no difference to them.
pub(super) fn held_near(path: BezPath) -> BezPath {
    let hold = |p: kurbo::Point| kurbo::Point::new(p.x.clamp(-FARTHEST, FARTHEST), p.y.clamp(-FARTHEST, FARTHEST));
    let bounds = path.bounding_box();
    if bounds.x0 >= -FARTHEST && bounds.y0 >= -FARTHEST && bounds.x1 <= FARTHEST && bounds.y1 <= FARTHEST {
        return path;
    }
    path.iter()
        .map(|element| match element {
            PathEl::MoveTo(p) => PathEl::MoveTo(hold(p)),
            PathEl::LineTo(p) => PathEl::LineTo(hold(p)),
            PathEl::QuadTo(a, p) => PathEl::QuadTo(hold(a), hold(p)),
            PathEl::CurveTo(a, b, p) => PathEl::CurveTo(hold(a), hold(b), hold(p)),
            PathEl::ClosePath => PathEl::ClosePath,
        })
        .collect()
}

/// Subpaths that are filled although their ends lie apart.
fn open_ends(path: &BezPath, meet: f64) -> Vec<OpenEnds> {
    let ends = |subpath: BezPath| {
        let from = subpath.elements().first()?.end_point()?;
        let to = subpath.elements().iter().rev().find_map(PathEl::end_point)?;
        let apart = !is_closed(&subpath) && from.distance(to) > meet && subpath.elements().len() > 2;
        apart.then_some(OpenEnds { from, to })
    };
    subpaths(path).into_iter().filter_map(ends).collect()
}
