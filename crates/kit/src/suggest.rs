//! Did you mean: the nearest known word.

use strsim::osa_distance;

/// The known word nearest to a written one; `None` where none is near enough to be a slip of the pen.
pub fn nearest<'a>(written: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let plain = fold(written);
    let reach = (plain.chars().count() / 3).clamp(1, 4);
    known
        .into_iter()
        .filter(|word| word.len().abs_diff(plain.len()) <= reach)
        .map(|word| (osa_distance(&plain, &fold(word)), word))
        .filter(|(distance, _)| *distance <= reach)
        .min_by_key(|(distance, word)| (*distance, *word))
        .map(|(_, word)| word)
}

/// Without what people mix up: case, underscores and blanks.
pub(crate) fn fold(word: &str) -> String {
    word.trim().to_lowercase().replace(['_', ' '], "-")
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_are_found_and_other_words_are_left() {
        let known = ["mesh", "edge-margin", "materials", "supports"];
        assert_eq!(nearest("edge_margin", known), Some("edge-margin"));
        assert_eq!(nearest("Mesh", known), Some("mesh"));
        assert_eq!(nearest("mehs", known), Some("mesh"));
        assert_eq!(nearest("matrials", known), Some("materials"));
        assert_eq!(nearest("colour-of-the-sea", known), None);
        assert_eq!(nearest("", known), None);
    }
}
