//! The word that was probably meant.

/// The word closest to another, if any is close.
pub(crate) fn nearest<'a>(word: &str, known: &[&'a str]) -> Option<&'a str> {
    if word.len() > 64 {
        return None;
    }
    let folded = word.to_lowercase().replace('-', "_");
    let scored = known
        .iter()
        .map(|&k| (strsim::damerau_levenshtein(k, &folded), k));
    let allowed = (word.chars().count() / 3).clamp(1, 3);
    let close = scored.filter(|&(distance, k)| distance <= allowed && distance < k.len());
    close
        .min_by_key(|&(distance, k)| (distance, k))
        .map(|(_, k)| k)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_word_is_found_and_far_ones_are_not() {
        assert_eq!(
            nearest("tolerence", &["tolerance", "thickness"]),
            Some("tolerance")
        );
        assert_eq!(
            nearest("gauge-plane", &["gauge_plane"]),
            Some("gauge_plane")
        );
        assert_eq!(nearest("colour", &["sd", "mean"]), None);
        assert_eq!(nearest("x", &["sd"]), None);
    }
}
