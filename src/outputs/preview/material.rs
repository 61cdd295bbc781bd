//! What the stock looks like, from the words the maker has for it.

use crate::shop::Stock;

/// A colour in linear light.
pub(super) type Colour = [f32; 3];

/// How a material looks, bare and burned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Material {
    /// Its texture.
    pub texture: Texture,
    /// What the beam makes of it.
    pub mark: Mark,
    /// A cut edge, in the shade.
    pub edge: Colour,
}

/// The texture of a bare surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Texture {
    /// Solid wood or veneer.
    Wood(Wood),
    /// An even colour with fibres or grit in no direction: the share of it that varies.
    Even(Colour, f32),
}

/// The figure of a wood: colours of early and late wood, and how they alternate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wood {
    /// Colour of the wood grown in spring.
    pub early: Colour,
    /// Colour of the wood grown in summer.
    pub late: Colour,
    /// Width of a year's ring, in mm.
    pub ring_mm: f32,
    /// How clearly rings show, 0 to 1.
    pub contrast: f32,
    /// How clearly pores show, 0 to 1.
    pub pores: f32,
    /// How clearly fibres show, 0 to 1.
    pub fibre: f32,
}

/// What the beam leaves behind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Mark {
    /// It scorches, from toast to char.
    Scorch,
    /// It frosts or bares a paler ground of this colour.
    Pale(Colour),
}

const CHARRED: Colour = [0.035, 0.021, 0.013];

const fn wood(early: Colour, late: Colour, ring_mm: f32, contrast: f32, pores: f32, fibre: f32) -> Material {
    let texture = Texture::Wood(Wood { early, late, ring_mm, contrast, pores, fibre });
    Material { texture, mark: Mark::Scorch, edge: CHARRED }
}

const fn even(colour: Colour, grit: f32) -> Material {
    Material { texture: Texture::Even(colour, grit), mark: Mark::Scorch, edge: CHARRED }
}

const fn pale(colour: Colour, grit: f32, mark: Colour, edge: Colour) -> Material {
    Material { texture: Texture::Even(colour, grit), mark: Mark::Pale(mark), edge }
}

const BIRCH: Material = wood([0.74, 0.56, 0.36], [0.56, 0.375, 0.205], 4.2, 0.50, 0.10, 0.06);
const OAK: Material = wood([0.56, 0.39, 0.22], [0.33, 0.20, 0.10], 2.6, 0.75, 0.55, 0.10);
const WALNUT: Material = wood([0.20, 0.115, 0.062], [0.085, 0.045, 0.025], 3.2, 0.75, 0.35, 0.14);
const CHERRY: Material = wood([0.50, 0.27, 0.14], [0.34, 0.155, 0.075], 3.0, 0.55, 0.12, 0.07);
const BOARD: Material = even([0.42, 0.29, 0.17], 0.16);
const FROST: Colour = [0.80, 0.82, 0.83];

/// Words of the trade, the more telling ones first: a walnut plywood looks like walnut.
static LOOKS: &[(&[&str], Material)] = &[
    (
        &["black acrylic", "acrylic, black"],
        pale([0.012, 0.012, 0.013], 0.0, [0.42, 0.42, 0.43], [0.03, 0.03, 0.03]),
    ),
    (&["acrylic", "pmma", "glass"], pale([0.62, 0.66, 0.68], 0.0, FROST, [0.30, 0.36, 0.40])),
    (&["slate"], pale([0.030, 0.032, 0.036], 0.30, [0.30, 0.30, 0.30], [0.02, 0.02, 0.02])),
    (&["walnut"], WALNUT),
    (&["oak", "ash"], OAK),
    (&["cherry", "alder", "mahogany"], CHERRY),
    (&["cardboard", "kraft"], even([0.45, 0.31, 0.18], 0.14)),
    (&["greyboard", "grey board", "millboard"], even([0.34, 0.32, 0.29], 0.16)),
    (&["paper", "card"], even([0.82, 0.80, 0.75], 0.04)),
    (&["leather"], even([0.48, 0.27, 0.13], 0.18)),
    (&["cork"], even([0.46, 0.29, 0.15], 0.45)),
    (&["felt"], even([0.35, 0.35, 0.36], 0.30)),
    (&["mdf", "hardboard", "fibreboard", "chipboard", "hdf"], BOARD),
    (&["birch", "ply", "poplar", "basswood", "lime", "maple", "beech", "wood", "veneer", "pine"], BIRCH),
];

/// A material with no word that is known: a plain light surface.
const PLAIN: Material = even([0.68, 0.66, 0.62], 0.03);

impl Material {
    /// Whether its bare surface shows no texture at all.
    pub fn is_even(&self) -> bool {
        matches!(self.texture, Texture::Even(_, grit) if grit == 0.0)
    }

    /// The look of a stock.
    pub fn of(stock: &Stock) -> Self {
        // What it is made of says more than what else is said about it.
        [&stock.material, &stock.about].into_iter().find_map(|words| look(words)).unwrap_or(PLAIN)
    }
}

fn look(words: &str) -> Option<Material> {
    let words = words.to_lowercase();
    let named = |names: &[&str]| names.iter().any(|name| holds(&words, name));
    LOOKS.iter().find(|(names, _)| named(names)).map(|(_, look)| *look)
}

/// Whether `name` stands in `words` at the start of a word (`plywood` holds `ply`, `splash` no `ash`).
fn holds(words: &str, name: &str) -> bool {
    words.match_indices(name).any(|(at, _)| !words[..at].ends_with(char::is_alphanumeric))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_start_where_words_start() {
        assert!(holds("birch plywood", "ply"));
        assert!(!holds("splash board", "ash"));
    }

    #[test]
    fn the_more_telling_word_wins() {
        assert_eq!(look("Walnut plywood"), Some(WALNUT));
        assert_eq!(look("birch plywood, 3 mm"), Some(BIRCH));
        assert_eq!(look("unobtainium"), None);
    }
}
