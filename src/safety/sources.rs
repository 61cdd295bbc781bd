//! Who says so: the short names printed beside each line, and what they stand for.

/// The order in which to believe people and papers; the first thing on every job sheet.
pub const AUTHORITY: [&str; 5] = [
    "the machine’s manual and labels",
    "local law, fire code, insurer and landlord",
    "the shop’s laser safety officer or responsible person",
    "the material’s safety data sheet",
    "this sheet",
];

/// What this sheet is not.
pub const LIMITS: &str = "A list of reminders, not a risk assessment, not a laser-safety classification, not \
     licensed engineering, electrical, fire or medical advice. It certifies no material, machine, room, eyewear \
     or extractor as safe. Where sources disagree the stricter one is printed.";

/// A source by its short name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Source {
    /// The key printed beside a line.
    pub key: &'static str,
    /// What it stands for.
    pub title: &'static str,
}

const fn source(key: &'static str, title: &'static str) -> Source {
    Source { key, title }
}

/// Every source that a line may name.
pub(super) static SOURCES: &[Source] = &[
    source("AIHA", "AIHA note of 2025 on the NIOSH value for hydrogen chloride"),
    source("AIHAJ68", "American Industrial Hygiene Association Journal 29 (1968), PTFE pyrolysis"),
    source("Auburn", "Auburn University, laser cutter rules"),
    source("CCA", "Cancer Council Australia, wood dust and formaldehyde"),
    source("CSD", "laser safety manual based on NIST’s"),
    source("CUCFL", "community fab lab at the University of Illinois, operating rules"),
    source("EJC09", "E-Journal of Chemistry (2009), PVC decomposition"),
    source("HSE13", "UK Health and Safety Executive, Plastics Processing Sheet 13"),
    source("ISU", "Iowa State University, laser cutter procedures"),
    source("KSU", "Kansas State University, approved and banned materials"),
    source("Munoz", "Munoz and others, J. Chem. Health Saf. (2023), laser-cut acrylic"),
    source("NIOSH76", "Rockwell, NIOSH (1976), laser-cut plastics, as cited in 1990"),
    source("NIOSH77", "NIOSH publication 77-193, fluoropolymer fume"),
    source("Ottawa", "University of Ottawa, makerspace laser safety"),
    source("practice", "common practice in workshops, no published source"),
    source("SDS", "supplier safety data sheets"),
    source("UAL", "University of the Arts London, laser cutting"),
    source("UC", "University of California, laser fire safety, after NFPA 115"),
    source("UIC", "University of Illinois Chicago, approved materials"),
    source("UMass", "University of Massachusetts, laser cutter procedure"),
    source("UMD", "University of Maryland, laser safety concerns"),
    source("UT", "University of Texas at Austin, prohibited materials"),
    source("UVA", "UVA fab lab, laser safety"),
    source("WISC", "University of Wisconsin–Madison, laser cutter safety"),
];

/// The sources that a printed note such as `ISU, UAL` names, in the order of the list.
pub fn sources_of<'a>(notes: impl IntoIterator<Item = &'a str>) -> Vec<Source> {
    let named: Vec<&str> = notes.into_iter().flat_map(|note| note.split(", ")).collect();
    SOURCES.iter().copied().filter(|s| named.contains(&s.key)).collect()
}
