//! What was meant by a word that is not known.

use crate::problem::KeyHint;
use crate::schema::keys::{TABLES, Table};

/// Which key was meant by an unknown one.
pub(crate) fn key_hint(key: &str, table: &'static Table) -> KeyHint {
    let known = || table.keys.iter().map(|key| key.name);
    if let Some(key) = nearest(key, known()) {
        return KeyHint::Nearest(key);
    }
    match TABLES.iter().find(|other| other.key(key).is_some()) {
        Some(other) => KeyHint::BelongsTo(other.what),
        None => KeyHint::Known(known().collect()),
    }
}

/// The nearest of some words, if it is near: at most a third of its letters wrong, letter case
/// aside (letters swapped count once), or begun with at least four right letters.
///
/// Tuned: a third. At a tenth `taper_dge` no longer finds `taper_deg`; at two thirds `wealth` finds
/// `walls`. The tests below notice both.
pub(crate) fn nearest<'w>(found: &str, words: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    // Long texts are no slip of the pen, and the comparison costs the product of both lengths.
    const LONGEST: usize = 64;
    if found.len() > LONGEST {
        return None;
    }
    let found = found.to_lowercase();
    words
        .map(|word| {
            let wrong = strsim::damerau_levenshtein(&found, &word.to_lowercase());
            (wrong, word)
        })
        .filter(|(wrong, word)| {
            let begins = word.len() > found.len() && found.len() >= 4 && word.starts_with(&found);
            begins || wrong * 3 <= word.chars().count().max(found.chars().count())
        })
        .min_by_key(|(wrong, _)| *wrong)
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schema::keys::{CASE, COPING, LIMITS, WALL};

    fn nearest_key(found: &str, table: &Table) -> Option<&'static str> {
        nearest(found, table.keys.iter().map(|key| key.name))
    }

    #[test]
    fn slips_find_the_key_that_was_meant() {
        for (found, table, meant) in [
            ("taper", &WALL, "taper_deg"),
            ("Taper_Deg", &WALL, "taper_deg"),
            ("taper_dge", &WALL, "taper_deg"),
            ("height", &COPING, "height_mm"),
            ("margin_center", &COPING, "margin_centre"),
            ("metal_min", &LIMITS, "metal_min_mm"),
            ("tilt_max", &LIMITS, "tilt_max_deg"),
            ("coping", &CASE, "copings"),
            ("seatzones", &CASE, "seat_zones"),
        ] {
            assert_eq!(nearest_key(found, table), Some(meant), "{found}");
        }
    }

    #[test]
    fn far_words_find_nothing() {
        for (found, table) in [
            ("wax", &COPING),
            ("color", &COPING),
            ("t", &WALL),
            ("", &WALL),
            ("wealth", &COPING),
        ] {
            assert_eq!(nearest_key(found, table), None, "{found}");
        }
        let long = "taper_deg".repeat(100_000);
        assert_eq!(nearest_key(&long, &WALL), None);
    }
}
