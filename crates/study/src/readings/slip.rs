//! Readings that are off their nominal by the factor of a unit slip, all of them.

/// A factor between readings and nominal that is more likely a slip than a choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Median reading over nominal.
    pub ratio: f64,
    /// What it may be, in words.
    pub words: &'static str,
}

/// The slip of a lot, if its median is off the nominal by 1000, 25.4 or 57.3 either way (within 5 %).
pub fn slip(values: &[f64], nominal: f64) -> Option<Slip> {
    const SLIPS: [(f64, &str); 3] = [
        (1000.0, "a factor of 1000: µm and mm?"),
        (25.4, "a factor of 25.4: mm and inch?"),
        (
            57.295_779_513_082_32,
            "a factor of 57.3: degrees and radians?",
        ),
    ];
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let ratio = sorted.get(sorted.len() / 2)? / nominal;
    let near = |factor: f64| {
        [ratio / factor, ratio * factor]
            .iter()
            .any(|r| (0.95..=1.05).contains(r))
    };
    let (_, words) = SLIPS.into_iter().find(|(factor, _)| near(*factor))?;
    Some(Slip { ratio, words })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lot_in_other_units_is_seen_and_one_wild_reading_is_not() {
        assert!(slip(&[30_001.0, 29_998.0, 30_000.0], 30.0).is_some());
        assert!(slip(&[1.181, 1.1811, 1.1812], 30.0).is_some_and(|s| s.words.contains("inch")));
        assert_eq!(slip(&[30.0, 30.01, 30_000.0], 30.0), None);
        assert_eq!(slip(&[], 30.0), None);
        assert_eq!(slip(&[0.1], 0.0), None);
    }
}
