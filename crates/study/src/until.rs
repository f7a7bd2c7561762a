//! When a run that looks at its own interval has done enough.
//!
//! After every chunk of the ordered prefix, from the 16th on, the run asks how wide the exact interval of its reject rate
//! is. What lies beyond the chunk at which it is narrow enough was never part of the run, so that threads and timing
//! change nothing.

#[cfg(test)]
mod coverage;

use capability::binomial;
use distributions::normal;
use record::HalfWidth;

use crate::kernel::CHUNK;

/// Chunks before the first look: fewer leave too few rejects to be judged by their interval.
pub(crate) const FIRST_LOOK: u64 = 16;

/// The same in pairings, as a sentence writes it.
const FIRST_LOOK_WORDS: &str = "1,048,576";
const _: () = assert!(FIRST_LOOK * CHUNK == 1_048_576);

/// The rule that ends a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Until {
    /// How narrow the interval of the reject rate is to become.
    pub half_width: HalfWidth,
    /// The rule as it is written best.
    pub stated: String,
    /// Two-sided confidence of the interval, in (0.5, 1).
    pub confidence: f64,
}

/// One look at the interval of the reject rate.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Look {
    /// Half-width `(high - low) / 2` of the exact interval.
    reached: f64,
    /// Half-width at which the run may end; 0 where no reject gives a relative half-width its measure.
    asked: f64,
}

impl Until {
    /// Whether the run ends after so many chunks, with so many rejects of so many pairings.
    pub(crate) fn ends_after(&self, chunks: u64, rejects: u64, pairings: u64) -> bool {
        chunks >= FIRST_LOOK
            && self.normal(rejects, pairings) <= self.asked(rejects, pairings)
            && self.look(rejects, pairings).is_met()
    }

    /// What a record says of the rule at the end of a run that might have taken so many pairings.
    pub(crate) fn outcome(&self, rejects: u64, pairings: u64, most_pairings: u64) -> record::Until {
        let last = self.look(rejects, pairings);
        record::Until {
            stated: self.stated.clone(),
            half_width: self.half_width,
            reached: last.reached,
            met: last.is_met(),
            most_pairings,
            first_look: FIRST_LOOK * CHUNK,
            look_every: CHUNK,
        }
    }

    /// What a reader must know of a rule that the run did not meet.
    pub(crate) fn warning(&self, rejects: u64, pairings: u64) -> Option<String> {
        let last = self.look(rejects, pairings);
        let stated = &self.stated;
        if pairings < FIRST_LOOK * CHUNK {
            return Some(format!(
                "The run was to end by the rule \"{stated}\", which is first looked at after {FIRST_LOOK_WORDS} pairings: with fewer allowed it changed nothing."
            ));
        }
        if last.is_met() {
            return None;
        }
        if rejects == 0 && matches!(self.half_width, HalfWidth::OfRejectRate(_)) {
            return Some(format!(
                "The run was to end by the rule \"{stated}\". No joint was rejected, and no interval is as narrow as a part of nothing: the most \
                 pairings allowed were run. A half-width in ppm can be met without rejects."
            ));
        }
        Some(format!(
            "The run was to end by the rule \"{stated}\". The most pairings allowed did not reach it: the half-width is {} ppm, {} ppm were due.",
            digits(1e6 * last.reached),
            digits(1e6 * last.asked)
        ))
    }

    /// About how many pairings the run will take, at most `most`: a half-width falls with the root of the pairings, and
    /// with the pairings themselves where none or all were rejected.
    pub(crate) fn expected(&self, rejects: u64, pairings: u64, most: u64) -> u64 {
        let asked = self.asked(rejects, pairings);
        let growth = if rejects == 0 || rejects == pairings {
            self.look(rejects, pairings).reached / asked
        } else {
            let ratio = self.normal(rejects, pairings) / asked;
            ratio * ratio
        };
        // A ratio without bound (nothing asked for yet) leaves the most: the cast of a float saturates.
        let expected = (pairings as f64 * growth) as u64;
        expected.max(FIRST_LOOK * CHUNK).max(pairings).min(most)
    }

    /// Looks at so many rejects of so many pairings, at least one.
    fn look(&self, rejects: u64, pairings: u64) -> Look {
        let interval = binomial::interval(rejects, pairings, self.confidence);
        Look {
            reached: 0.5 * (interval.high - interval.low),
            asked: self.asked(rejects, pairings),
        }
    }

    fn asked(&self, rejects: u64, pairings: u64) -> f64 {
        match self.half_width {
            HalfWidth::Absolute(share) => share,
            HalfWidth::OfRejectRate(part) => part * (rejects as f64 / pairings as f64),
        }
    }

    /// A little less than the half-width `z sqrt(p (1 - p) / n)` of the normal interval, `z` its quantile. From the first
    /// look on the exact interval is the wider one, so that this quick figure tells when there is no need to find it.
    fn normal(&self, rejects: u64, pairings: u64) -> f64 {
        let z = normal::upper_quantile(0.5 * (1.0 - self.confidence));
        let (n, rate) = (pairings as f64, rejects as f64 / pairings as f64);
        0.999 * z * libm::sqrt(rate * (1.0 - rate) / n)
    }
}

impl Look {
    /// Whether the interval is narrow enough.
    fn is_met(&self) -> bool {
        self.reached <= self.asked
    }
}

/// A size to four digits.
fn digits(size: f64) -> String {
    let rounded: f64 = format!("{size:.3e}").parse().unwrap_or(size);
    rounded.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn until(half_width: HalfWidth) -> Until {
        Until {
            half_width,
            stated: String::new(),
            confidence: 0.95,
        }
    }

    #[test]
    fn verified_no_reject_meets_an_absolute_half_width_by_the_closed_form_of_the_interval() {
        // Clopper and Pearson at no hits: high = 1 - 0.025^(1/n), low = 0; so n = ln 0.025 / ln(1 - 2 h).
        let h = 1e-6;
        let n = libm::ceil(libm::log(0.025) / libm::log1p(-2.0 * h)) as u64;
        let rule = until(HalfWidth::Absolute(h));
        assert!(rule.look(0, n).is_met());
        assert!(!rule.look(0, n - 1).is_met());
    }

    #[test]
    fn no_reject_never_meets_a_relative_half_width() {
        let rule = until(HalfWidth::OfRejectRate(0.5));
        for pairings in [1, 1 << 20, 1 << 53] {
            let look = rule.look(0, pairings);
            assert!(!look.is_met(), "{pairings}");
            assert_eq!(rule.expected(0, pairings, 1 << 53), 1 << 53, "{pairings}");
        }
    }

    #[test]
    fn verified_many_rejects_meet_a_relative_half_width_at_the_normal_count() {
        // With rate p the half-width is about 1.96 sqrt(p (1 - p) / n): 5 % of p at 1.96^2 (1 - p) / 0.0025 rejects.
        let rule = until(HalfWidth::OfRejectRate(0.05));
        let met_at = |of: u64| {
            let found = (1..100_000).find(|&k| rule.look(k, of * k).is_met());
            found.expect("narrow enough at last") as f64
        };
        for of in [5_u64, 100, 100_000] {
            let normal = 1.959_964 * 1.959_964 * (1.0 - 1.0 / of as f64) / 0.0025;
            // The exact interval is a little wider: by about one reject in a whole width.
            let exact = met_at(of);
            assert!(
                exact > normal && exact < 1.05 * normal,
                "1 in {of}: {exact} {normal}"
            );
        }
    }

    #[test]
    fn the_sixteenth_chunk_is_the_first_that_can_end_a_run() {
        let rule = until(HalfWidth::Absolute(0.5));
        assert!(rule.look(3, 1000).is_met());
        assert!(!rule.ends_after(15, 3, 1000));
        assert!(rule.ends_after(16, 3, 1000));
    }

    #[test]
    fn all_or_none_rejected_is_as_narrow_either_way() {
        let rule = until(HalfWidth::Absolute(1e-5));
        let (none, all) = (rule.look(0, 1 << 20), rule.look(1 << 20, 1 << 20));
        assert!((none.reached / all.reached - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_estimate_lies_between_first_look_and_most_and_falls_into_place_at_the_end() {
        let rule = until(HalfWidth::Absolute(1e-4));
        assert_eq!(rule.expected(0, CHUNK, 1 << 40), FIRST_LOOK * CHUNK);
        assert_eq!(rule.expected(CHUNK / 2, CHUNK, 1 << 21), 1 << 21);
        // One in two: 1.96^2 / 4 / 1e-8 = 96.04 million pairings.
        let early = rule.expected(CHUNK / 2, CHUNK, 1 << 40) as f64;
        assert!((early / 96.04e6 - 1.0).abs() < 0.01, "{early}");
        assert!(rule.look(50_000_000, 100_000_000).is_met());
        let met = rule.expected(50_000_000, 100_000_000, 1 << 40);
        assert_eq!(met, 100_000_000);
    }

    #[test]
    fn the_quick_figure_never_hides_an_interval_that_is_narrow_enough() {
        for confidence in [0.5001, 0.8, 0.95, 0.99, 1.0 - 1e-9] {
            let rule = Until {
                confidence,
                ..until(HalfWidth::Absolute(0.5))
            };
            for pairings in [FIRST_LOOK * CHUNK, 10_000_000, 1 << 34] {
                for part in [2, 3, 10, 1000, 65_536, 600_000] {
                    for rejects in [0, 1, 2, 3, 10, pairings / part] {
                        for rejects in [rejects, pairings - rejects] {
                            let exact = rule.look(rejects, pairings).reached;
                            let quick = rule.normal(rejects, pairings);
                            assert!(
                                quick < exact,
                                "{rejects} of {pairings} at {confidence}: {quick} {exact}"
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn a_rule_that_is_not_met_says_so() {
        let relative = until(HalfWidth::OfRejectRate(0.05));
        let never = relative.warning(900_000, (1 << 20) - 1).expect("no look");
        assert!(
            never.contains("first looked at after 1,048,576 pairings"),
            "{never}"
        );
        let none = relative.warning(0, 1 << 20).expect("cannot be met");
        assert!(none.contains("No joint was rejected"), "{none}");
        let wide = relative.warning(10, 1 << 20).expect("too wide");
        assert!(wide.contains("did not reach it"), "{wide}");
        assert_eq!(relative.warning(10_000, 1 << 20), None);
    }
}
