//! One pairing at rising torque: what each rung buys.

use serde::{Deserialize, Serialize};

/// One pairing, solved at one torque after the other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ladder {
    /// Version of the program that solved it.
    pub program_version: String,
    /// Name of the scenario: its file name without folder and ending.
    pub scenario: String,
    /// SHA-256 of the canonical scenario, in hex.
    pub scenario_hash: String,
    /// Title of the scenario.
    pub title: String,
    /// Kind of seat: `cone` or `tapered_spline`.
    pub seat: String,
    /// Name of the pairing, when the file of parts gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Torque that the scenario sets (N·m).
    pub set_nm: f64,
    /// Torque that this pairing really gets for each unit set on the wrench: its own torque error.
    pub applied_share: f64,
    /// Draw-up to close (mm); left out when the cones never meet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draw_up_mm: Option<f64>,
    /// True when the spacer is rigid.
    pub rigid_spacer: bool,
    /// Smallest clamp load of a good joint, when the scenario has such a limit (N).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_clamp_load_n: Option<f64>,
    /// Torque from which the cones carry load; 0 when they do from the first touch on, left out when they do not
    /// within the rungs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bears_from_nm: Option<f64>,
    /// Torque at which the spacer is pinched; 0 when the faces meet before the cones do, left out when it stays
    /// loose within the rungs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pinched_from_nm: Option<f64>,
    /// Clamp load that each further unit of torque buys once the spacer is pinched, on average up to the highest
    /// rung (N per N·m).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clamp_n_per_nm: Option<f64>,
    /// What a reader must know before trusting the numbers, one sentence each.
    pub cautions: Vec<String>,
    /// The rungs, lowest torque first.
    pub rungs: Vec<Rung>,
}

/// One torque.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rung {
    /// Torque set on the wrench (N·m).
    pub torque_nm: f64,
    /// Bolt load (N).
    pub bolt_load_n: f64,
    /// Stand-off (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand_off_mm: Option<f64>,
    /// Gap left at the spacer (mm).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gap_mm: Option<f64>,
    /// Clamp load (N).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clamp_load_n: Option<f64>,
    /// Load on the cones (N).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seat_load_n: Option<f64>,
    /// Key of the verdict.
    pub verdict: String,
    /// Every broken limit, by name.
    pub broken_limits: Vec<String>,
}

impl Ladder {
    /// Lowest and highest rung of the unbroken run of good ones that ends highest; `None` when none is good.
    pub fn good_nm(&self) -> Option<[f64; 2]> {
        let good = |rung: &&Rung| rung.verdict == "good";
        let from_above: Vec<&Rung> = self
            .rungs
            .iter()
            .rev()
            .skip_while(|rung| !good(rung))
            .take_while(good)
            .collect();
        Some([from_above.last()?.torque_nm, from_above.first()?.torque_nm])
    }

    /// The ladder as JSON text, ending in a newline.
    ///
    /// # Errors
    /// The name of a value that is not a number, instead of a `null` that nobody asked for.
    pub fn to_json(&self) -> Result<String, &'static str> {
        let wrong = self.rungs.iter().find_map(|rung| {
            [
                ("torque_nm", Some(rung.torque_nm)),
                ("bolt_load_n", Some(rung.bolt_load_n)),
                ("stand_off_mm", rung.stand_off_mm),
                ("gap_mm", rung.gap_mm),
                ("clamp_load_n", rung.clamp_load_n),
                ("seat_load_n", rung.seat_load_n),
            ]
            .into_iter()
            .find(|(_, value)| value.is_some_and(|v| !v.is_finite()))
        });
        if let Some((name, _)) = wrong {
            return Err(name);
        }
        let mut text = serde_json::to_string_pretty(self).unwrap_or_default();
        text.push('\n');
        Ok(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rung(torque_nm: f64, verdict: &str) -> Rung {
        Rung {
            torque_nm,
            bolt_load_n: 1.0,
            stand_off_mm: None,
            gap_mm: None,
            clamp_load_n: None,
            seat_load_n: None,
            verdict: verdict.to_owned(),
            broken_limits: Vec::new(),
        }
    }

    fn ladder(rungs: Vec<Rung>) -> Ladder {
        Ladder {
            program_version: String::new(),
            scenario: String::new(),
            scenario_hash: String::new(),
            title: String::new(),
            seat: "cone".to_owned(),
            name: None,
            set_nm: 60.0,
            applied_share: 1.0,
            draw_up_mm: None,
            rigid_spacer: true,
            least_clamp_load_n: None,
            bears_from_nm: None,
            pinched_from_nm: None,
            clamp_n_per_nm: None,
            cautions: Vec::new(),
            rungs,
        }
    }

    #[test]
    fn good_torques_are_one_unbroken_run() {
        let verdicts = [
            "gap_left",
            "good",
            "clamp_low",
            "good",
            "good",
            "bore_overstressed",
        ];
        let rungs: Vec<Rung> = (1..)
            .zip(verdicts)
            .map(|(i, v)| rung(f64::from(i), v))
            .collect();
        assert_eq!(ladder(rungs).good_nm(), Some([4.0, 5.0]));
        assert_eq!(ladder(vec![rung(1.0, "gap_left")]).good_nm(), None);
    }

    #[test]
    fn what_is_not_defined_has_no_key_and_what_is_no_number_is_refused() {
        let text = ladder(vec![rung(1.0, "never_seats")])
            .to_json()
            .expect("finite");
        assert!(!text.contains("null") && !text.contains("gap_mm"), "{text}");
        let mut bad = rung(1.0, "good");
        bad.gap_mm = Some(f64::NAN);
        assert_eq!(ladder(vec![bad]).to_json(), Err("gap_mm"));
    }
}
