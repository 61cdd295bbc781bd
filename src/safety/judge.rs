//! The verdict on a material, by the name its maker gives it.

use super::materials::{MATERIALS, Material, Verdict};

/// What may be done with a material.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Judgement {
    /// No setting may be emitted for it.
    Refused {
        /// What the name was understood as.
        material: &'static str,
        /// What it does; lower case, no full stop.
        why: &'static str,
        /// Short names of the sources, comma-separated.
        source: &'static str,
    },
    /// Allowed when these conditions stand on the sheet.
    Caution {
        /// What the name was understood as.
        material: &'static str,
        /// The conditions, as sentences without a full stop.
        conditions: Vec<&'static str>,
        /// Short names of the sources, comma-separated.
        source: &'static str,
    },
    /// Plain stock of the trade. This is no promise that it is safe.
    Known {
        /// What the name was understood as.
        material: &'static str,
    },
    /// Nobody told us of it: to be refused until it is named.
    Unknown,
}

/// Judges a material by its name (`birch plywood`), with aliases, case and hyphens ignored.
///
/// The strictest row that the name matches wins, so `acrylic with vinyl film` is refused. A word
/// followed by `free` (`PVC-free`) does not count as the word.
pub fn judge(material: &str) -> Judgement {
    let words = words_of(material);
    let hits: Vec<&Material> = MATERIALS.iter().filter(|row| row.matches(&words)).collect();
    if let Some((row, why)) = hits.iter().find_map(|row| match row.verdict {
        Verdict::Refused(why) => Some((row, why)),
        _ => None,
    }) {
        return Judgement::Refused { material: row.name, why, source: row.source };
    }
    let cautions: Vec<(&Material, &[&str])> = hits
        .iter()
        .filter_map(|row| match row.verdict {
            Verdict::Caution(conditions) => Some((*row, conditions)),
            _ => None,
        })
        .collect();
    if let Some((first, _)) = cautions.first() {
        let conditions = cautions.iter().flat_map(|(_, conditions)| conditions.iter().copied()).collect();
        return Judgement::Caution { material: first.name, conditions, source: first.source };
    }
    hits.first().map_or(Judgement::Unknown, |row| Judgement::Known { material: row.name })
}

/// What a material is taken as that is marked only, and never cut; `None` of all others.
pub fn only_marked(material: &str) -> Option<&'static str> {
    let words = words_of(material);
    MATERIALS.iter().find(|row| row.only_marked && row.matches(&words)).map(|row| row.name)
}

/// A name of each material that is judged by its own row of the table, refused ones first.
pub fn materials() -> impl Iterator<Item = &'static str> {
    MATERIALS.iter().filter_map(|row| row.aliases.first().copied())
}

impl Material {
    fn matches(&self, words: &[String]) -> bool {
        let excused = self.unless.iter().any(|word| words.iter().any(|w| w == word));
        !excused && self.aliases.iter().any(|alias| contains(words, alias))
    }
}

/// Lower-case words, letters and digits only; a word that `free` follows is dropped with it.
fn words_of(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    let mut words: Vec<String> = Vec::new();
    for word in lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()) {
        if word == "free" {
            words.pop();
        } else {
            words.push(word.to_owned());
        }
    }
    words
}

/// Whether the words of `alias` follow each other in `words`; a plural `s` at the end of each is the same word.
fn contains(words: &[String], alias: &str) -> bool {
    let wanted: Vec<&str> = alias.split(' ').collect();
    let same = |word: &String, want: &&str| word == want || word.strip_suffix('s') == Some(*want);
    words.windows(wanted.len()).any(|window| window.iter().zip(&wanted).all(|(word, want)| same(word, want)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::safety::sources_of;

    fn refused(material: &str) -> bool {
        matches!(judge(material), Judgement::Refused { .. })
    }

    /// The refusal set and its aliases: U. Illinois Chicago, U. Texas Austin, Kansas State University.
    #[test]
    fn what_the_universities_refuse_is_refused_under_every_name() {
        for material in [
            "PVC",
            "vinyl",
            "Vinyl records",
            "faux-leather",
            "pleather",
            "polycarbonate",
            "Lexan",
            "ABS",
            "HDPE",
            "polystyrene",
            "styrofoam",
            "polypropylene foam",
            "fibreglass",
            "fiberglass",
            "epoxy resin",
            "FR4",
            "FR-4",
            "coated carbon fibre",
            "PTFE",
            "Teflon",
            "unknown",
            "foam core",
            "chrome-tanned leather",
            "leather",
            "nylon",
            "wool felt",
            "acetal",
            "POM",
            "galvanised steel",
            "mirrored acrylic",
            "pressure-treated pine",
            "polyurethane",
            "milk-bottle plastic",
        ] {
            assert!(refused(material), "{material}: {:?}", judge(material));
        }
    }

    /// The chemistry of the reasons: UK HSE Plastics Processing Sheet 13; AIHA Journal 29 (1968).
    #[test]
    fn reasons_name_what_the_agencies_found() {
        let why = |material: &str| match judge(material) {
            Judgement::Refused { why, .. } => why,
            other => panic!("{material}: {other:?}"),
        };
        assert!(why("vinyl").contains("hydrogen chloride") && !why("vinyl").contains("chlorine gas"));
        assert!(why("ABS").contains("styrene"));
        assert!(why("acetal").contains("formaldehyde"));
        assert!(why("polystyrene").contains("styrene") && why("polystyrene").contains("aldehydes"));
        assert!(why("teflon").contains("carbonyl fluoride"));
        assert!(!why("polycarbonate").contains("chlor"), "the polymer holds no chlorine");
    }

    /// Share of hydrogen chloride in PVC: 36.461 / 62.498 of the repeat unit, molar masses from memory.
    #[test]
    fn the_printed_share_of_hydrogen_chloride_is_right() {
        let share: f64 = 36.461 / 62.498;
        assert!((share - 0.5834).abs() < 1e-4);
        assert!(super::super::materials::MATERIALS.iter().any(|m| matches!(
            m.verdict,
            Verdict::Refused(why) if why.contains("58 %")
        )));
    }

    #[test]
    fn conditions_follow_what_is_allowed() {
        for (material, words) in [
            ("birch plywood", "formaldehyde"),
            ("cast acrylic", "methyl methacrylate"),
            ("PMMA", "methyl methacrylate"),
            ("MDF", "low-emission"),
            ("corrugated card", "no stacks"),
            ("vegetable-tanned leather", "small watched test"),
            ("anodised aluminium", "Mark only"),
            ("laser-safe rubber", "small watched test"),
            ("teak", "irritate"),
            ("slate", "Mark only"),
        ] {
            match judge(material) {
                Judgement::Caution { conditions, .. } => {
                    assert!(conditions.iter().any(|c| c.contains(words)), "{material}: {conditions:?}");
                }
                other => panic!("{material}: {other:?}"),
            }
        }
    }

    #[test]
    fn the_strictest_row_wins_and_free_means_without() {
        assert!(refused("birch plywood with vinyl film"));
        assert!(refused("acrylic felt"));
        assert!(matches!(judge("PVC-free card"), Judgement::Caution { material: "card or paper", .. }));
        assert!(matches!(judge("solid maple wood"), Judgement::Known { .. }));
        assert!(matches!(judge("basswood"), Judgement::Known { .. }));
        assert!(matches!(judge("silver birch"), Judgement::Known { .. }), "a tree, not a metal");
        assert!(matches!(judge("wood"), Judgement::Caution { .. }));
    }

    #[test]
    fn what_nobody_named_is_not_known() {
        for material in ["", "   ", "moon cheese", "木", "🪵"] {
            assert_eq!(judge(material), Judgement::Unknown, "{material:?}");
        }
    }

    #[test]
    fn the_table_is_well_formed() {
        for row in MATERIALS {
            let named = row.source.split(", ").count();
            assert_eq!(sources_of([row.source]).len(), named, "{}: {}", row.name, row.source);
            for alias in row.aliases {
                assert_eq!(words_of(alias).join(" "), *alias, "aliases are plain lower-case words");
            }
        }
    }
}
