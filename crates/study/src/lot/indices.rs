//! Capability indices of a measured characteristic, each with its interval or the reason why it has none.

use std::collections::BTreeMap;
use std::sync::Arc;

use capability::index::{measured_cp_interval, measured_cpk_interval, measured_lower_bound};
use capability::moments::Moments;
use distributions::{Normal, Shape};
use record::{Index, LotCapability, Subgroups};

use super::drawing::Drawing;
use super::repeats::{self, Draws};
use super::shapes::Candidate;
use super::words::readings_are;

/// Readings below which no interval is stated: its ends would be guesses.
pub(super) const FEWEST: u64 = 5;

/// Confidence of what is demonstrated, on one side.
pub(super) const DEMONSTRATED: f64 = 0.95;

/// Readings and subgroups from which the scatter within subgroups may lead (usual sizes of a first study of a process, recalled).
const LEADS_FROM: (u64, u64) = (100, 25);

/// What is known of a characteristic when its capability is asked for.
pub(super) struct Known<'a> {
    pub(super) moments: &'a Moments,
    pub(super) drawing: &'a Drawing,
    pub(super) subgroups: Option<&'a Subgroups>,
    /// Judged normal.
    pub(super) normal: bool,
    /// Judged steady in the order of production.
    pub(super) steady: bool,
    /// The shape behind the percentile form, when the readings are not judged normal.
    pub(super) chosen: Option<&'a Candidate>,
    pub(super) sha256: &'a str,
    pub(super) column: &'a str,
    pub(super) confidence: f64,
}

/// Capability against the drawing limits.
pub(super) fn capability(known: &Known<'_>) -> LotCapability {
    let mut builder = Builder {
        known,
        made: LotCapability {
            cp: None,
            cpk: None,
            pp: None,
            ppk: None,
            pp_percentile: None,
            ppk_percentile: None,
            demonstrated: None,
            leads: (String::new(), String::new()),
            outside: None,
            absent: BTreeMap::new(),
        },
    };
    let n = known.moments.n();
    match (known.moments.mean(), known.moments.sd()) {
        (Some(mean), Some(sd)) if sd > 0.0 => {
            builder.overall(n, mean, sd);
            builder.within(n, mean);
            builder.percentile(n, mean, sd);
            builder.lead();
        }
        (_, None) => builder.none("One reading has no spread to hold against the limits."),
        _ => builder.none("All readings are equal, so there is no spread to hold against the limits: the gauge does not show it."),
    }
    builder.made
}

struct Builder<'a> {
    known: &'a Known<'a>,
    made: LotCapability,
}

/// Width between the limits over six, and distance to the nearer limit over three standard deviations.
fn plain(drawing: &Drawing, mean: f64, sd: f64) -> (Option<f64>, Option<f64>) {
    let width = drawing.tolerance().map(|width| width / (6.0 * sd));
    let upper = drawing.upper.map(|upper| (upper - mean) / (3.0 * sd));
    let lower = drawing.lower.map(|lower| (mean - lower) / (3.0 * sd));
    let nearer = match (lower, upper) {
        (Some(lower), Some(upper)) => Some(lower.min(upper)),
        (one, other) => one.or(other),
    };
    (width, nearer)
}

impl Builder<'_> {
    fn absent(&mut self, keys: &[&str], reason: &str) {
        for key in keys {
            self.made
                .absent
                .insert((*key).to_owned(), reason.to_owned());
        }
    }

    fn none(&mut self, reason: &str) {
        let keys = [
            "cp",
            "cpk",
            "pp",
            "ppk",
            "pp_percentile",
            "ppk_percentile",
            "demonstrated",
            "outside",
        ];
        self.absent(&keys, reason);
        self.made.leads = ("none".to_owned(), reason.to_owned());
    }

    /// Too few readings for an interval: then the record has no index either, for an index without its doubt misleads.
    fn few(&self, n: u64) -> Option<String> {
        (n < FEWEST).then(|| {
            format!(
                "{} too few for an interval, and an index without one says nothing.",
                readings_are(n)
            )
        })
    }

    fn overall(&mut self, n: u64, mean: f64, sd: f64) {
        if let Some(reason) = self.few(n) {
            return self.absent(&["pp", "ppk"], &reason);
        }
        let (pp, ppk) = plain(self.known.drawing, mean, sd);
        let confidence = self.known.confidence;
        self.made.pp = pp.and_then(|value| {
            let interval = measured_cp_interval(value, n, confidence).ok()?;
            Some(index(value, interval.low, interval.high))
        });
        self.made.ppk = ppk.and_then(|value| {
            let interval = measured_cpk_interval(value, n, confidence).ok()?;
            Some(index(value, interval.low, interval.high))
        });
        if pp.is_none() {
            self.absent(&["pp"], ONE_SIDED);
        }
    }

    fn within(&mut self, n: u64, mean: f64) {
        let Some(groups) = self.known.subgroups else {
            let reason = "There are no subgroups, so the scatter within them is not known (--subgroup, --subgroup-size).";
            return self.absent(&["cp", "cpk"], reason);
        };
        let (sd, freedom) = (groups.sd_within, groups.freedom);
        if sd <= 0.0 || freedom + 1 < FEWEST {
            let reason = "The subgroups hold too few readings for the scatter within them.";
            return self.absent(&["cp", "cpk"], reason);
        }
        let (cp, cpk) = plain(self.known.drawing, mean, sd);
        let confidence = self.known.confidence;
        self.made.cp = cp.and_then(|value| {
            // The exact interval needs the degrees of freedom only.
            let interval = measured_cp_interval(value, freedom + 1, confidence).ok()?;
            Some(index(value, interval.low, interval.high))
        });
        self.made.cpk = cpk.map(|value| bissell(value, n, freedom, confidence));
        if cp.is_none() {
            self.absent(&["cp"], ONE_SIDED);
        }
    }

    /// The percentile form of the shape that leads, and the share outside by it.
    fn percentile(&mut self, n: u64, mean: f64, sd: f64) {
        let keys = ["pp_percentile", "ppk_percentile"];
        if let Some(reason) = self.few(n) {
            self.absent(&keys, &reason);
            return self.absent(&["outside"], &reason);
        }
        let shape: Arc<dyn Shape> = match (self.known.normal, self.known.chosen) {
            (true, _) => match Normal::new(mean, sd) {
                Ok(normal) => Arc::new(normal),
                Err(error) => return self.absent(&["outside"], &format!("{error}.")),
            },
            (false, Some(chosen)) => Arc::clone(&chosen.fitted.shape),
            (false, None) => {
                let reason = "The readings are not judged normal, and no shape has tails that agree with them.";
                self.absent(&keys, reason);
                return self.absent(&["outside"], reason);
            }
        };
        match self.doubted(shape.as_ref(), n) {
            Ok([pp, ppk, outside]) => {
                self.made.outside = outside;
                if !self.known.normal {
                    (self.made.pp_percentile, self.made.ppk_percentile) = (pp, ppk);
                }
                if pp.is_none() {
                    self.absent(&["pp_percentile"], ONE_SIDED);
                }
            }
            Err(reason) => {
                self.absent(&keys, &reason);
                self.absent(&["outside"], &reason);
            }
        }
        if self.known.normal {
            let reason = "The readings are judged normal, and the percentile form of a normal is Pp and Ppk again.";
            self.absent(&keys, reason);
        }
    }

    fn doubted(&self, shape: &dyn Shape, n: u64) -> Result<[Option<Index>; 3], String> {
        let known = self.known;
        let fit = known
            .chosen
            .filter(|_| !known.normal)
            .and_then(|c| c.kind.fit);
        let refit = |readings: &[f64]| match fit {
            Some(fit) => fit(readings).ok().map(|fitted| fitted.shape),
            None => {
                let moments = Moments::of(readings);
                let normal = Normal::new(moments.mean()?, moments.sd()?).ok()?;
                Some(Arc::new(normal) as Arc<dyn Shape>)
            }
        };
        let draws = Draws {
            sha256: known.sha256,
            column: known.column,
            shape: fit.map_or("normal", |_| known.chosen.map_or("normal", |c| c.kind.name)),
        };
        repeats::doubted(
            shape,
            &refit,
            n as usize,
            known.drawing,
            draws,
            known.confidence,
        )
    }

    /// Which index leads, and what it demonstrates.
    fn lead(&mut self) {
        let (name, why, value) = self.leading();
        self.made.leads = (name.to_owned(), why);
        let n = self.known.moments.n();
        match (self.known.normal, value) {
            (_, None) => self.absent(&["demonstrated"], "No index leads."),
            (false, _) => self.absent(
                &["demonstrated"],
                "The bound is that of readings judged normal, and these are not; the lower end of the interval stands for it.",
            ),
            (true, Some(value)) => {
                self.made.demonstrated = measured_lower_bound(value, n, DEMONSTRATED).ok();
            }
        }
    }

    fn leading(&self) -> (&'static str, String, Option<f64>) {
        let known = self.known;
        let n = known.moments.n();
        let made = &self.made;
        if let Some(index) = made.ppk_percentile {
            let why = "The readings are not judged normal, so the quantiles of the shape chosen stand for the spread.";
            return ("Ppk (percentile)", why.to_owned(), Some(index.value));
        }
        if let Some(reason) = self.few(n) {
            return ("none", reason, None);
        }
        let value = made.ppk.map(|index| index.value);
        if !known.normal {
            let why = "Neither a normal nor any other shape describes the readings; no index does them justice, and Ppk is stated for want of a better one.";
            return ("Ppk", why.to_owned(), value);
        }
        match known.subgroups {
            Some(groups) if self.may_lead(groups) => {
                let why = "The process is steady over enough subgroups that the scatter within them is what it can hold.";
                ("Cpk", why.to_owned(), made.cpk.map(|index| index.value))
            }
            Some(_) => {
                let why = "The scatter of all readings counts: subgroups differ, or there are fewer than 25 of them or 100 readings.";
                ("Ppk", why.to_owned(), value)
            }
            None => {
                let why = "There are no subgroups, so only the scatter of all readings is known.";
                ("Ppk", why.to_owned(), value)
            }
        }
    }

    fn may_lead(&self, groups: &Subgroups) -> bool {
        let chance = |test: Option<record::Test>| test.is_some_and(|test| test.p >= super::CHANCE);
        let (readings, count) = LEADS_FROM;
        self.made.cpk.is_some()
            && self.known.moments.n() >= readings
            && groups.count >= count
            && self.known.steady
            && chance(groups.means_equal)
            && chance(groups.spreads_equal_levene)
    }
}

/// Why an index of the width is left out.
const ONE_SIDED: &str =
    "It compares the spread with the distance of two limits, and there is only one.";

fn index(value: f64, low: f64, high: f64) -> Index {
    Index { value, low, high }
}

/// A. F. Bissell's interval (see [`measured_cpk_interval`]) with the degrees of freedom of a spread within subgroups.
fn bissell(value: f64, n: u64, freedom: u64, confidence: f64) -> Index {
    let z = distributions::normal::upper_quantile(0.5 * (1.0 - confidence));
    let variance = 1.0 / (9.0 * n as f64) + value * value / (2.0 * freedom as f64);
    let reach = z * libm::sqrt(variance);
    index(value, value - reach, value + reach)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known<'a>(moments: &'a Moments, drawing: &'a Drawing) -> Known<'a> {
        Known {
            moments,
            drawing,
            subgroups: None,
            normal: true,
            steady: true,
            chosen: None,
            sha256: "00",
            column: "d",
            confidence: 0.95,
        }
    }

    fn limits(lower: Option<f64>, upper: Option<f64>) -> Drawing {
        Drawing {
            lower,
            upper,
            ..Drawing::default()
        }
    }

    #[test]
    fn verified_seen_133_on_30_parts_demonstrates_102() {
        // Thirty readings with mean 0 and standard deviation 1, limit at 3 * 1.33: the exact bound by the non-central t is
        // 1.0216 (recomputed with an independent library).
        let readings: Vec<f64> = (0..30)
            .map(|i| if i % 2 == 0 { 1.0 } else { -1.0 } * libm::sqrt(29.0 / 30.0))
            .collect();
        let moments = Moments::of(&readings);
        let drawing = limits(None, Some(3.99));
        let got = capability(&known(&moments, &drawing));
        assert!((got.ppk.expect("an index").value - 1.33).abs() < 1e-12);
        assert!((got.demonstrated.expect("a bound") - 1.0216).abs() < 5e-5);
        assert!(got.pp.is_none() && got.absent.contains_key("pp"));
    }

    #[test]
    fn four_readings_have_no_index_and_say_why() {
        let moments = Moments::of(&[1.0, 2.0, 3.0, 4.0]);
        let drawing = limits(Some(0.0), Some(5.0));
        let got = capability(&known(&moments, &drawing));
        assert!(got.pp.is_none() && got.ppk.is_none() && got.outside.is_none());
        for key in ["pp", "ppk", "outside", "demonstrated"] {
            assert!(got.absent.contains_key(key), "{key}");
        }
    }

    #[test]
    fn equal_readings_have_no_index_and_say_why() {
        let moments = Moments::of(&[1.0; 40]);
        let drawing = limits(Some(0.0), Some(5.0));
        let got = capability(&known(&moments, &drawing));
        assert!(got.ppk.is_none() && got.absent["ppk"].contains("equal"));
    }
}
