//! Names that come close to a mistyped one.

/// At most three of `known` that come close to `wanted`, the closest first.
pub fn near_names<'a>(wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    let lower = wanted.to_lowercase();
    let mut close: Vec<(usize, &str)> = known
        .into_iter()
        .filter(|name| *name != wanted)
        .map(|name| (strsim::damerau_levenshtein(&lower, &name.to_lowercase()), name))
        .filter(|(distance, name)| *distance <= 1 + wanted.chars().count().min(name.chars().count()) / 4)
        .collect();
    close.sort_unstable();
    close.dedup();
    close.into_iter().map(|(_, name)| name).take(3).collect()
}

/// `` `a` ``, `` `a` or `b` ``, `` `a`, `b` or `c` ``.
pub fn quoted_list<'a>(names: impl IntoIterator<Item = &'a str>, joint: &str) -> String {
    let quoted: Vec<String> = names.into_iter().map(|n| format!("`{n}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} {joint} {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typos_are_near_and_strangers_are_not() {
        assert_eq!(near_names("bord", ["board", "sheet", "bird"]), ["bird", "board"]);
        assert!(near_names("kerf", ["sheet", "machine"]).is_empty());
    }

    #[test]
    fn lists_read_as_a_sentence() {
        assert_eq!(quoted_list(["a", "b", "c"], "or"), "`a`, `b` or `c`");
    }
}
