//! Measured shafts, hubs and spacers, paired, with the spacer that each pair needs.

/// The pairs of measured parts, and what became of each.
#[derive(Debug, Clone, PartialEq)]
pub struct Matrix {
    /// Version of the program that solved the pairs.
    pub program_version: String,
    /// Name of the scenario: its file name without folder and ending.
    pub scenario: String,
    /// SHA-256 of the canonical scenario, in hex.
    pub scenario_hash: String,
    /// Title of the scenario.
    pub title: String,
    /// Kind of seat: `cone` or `tapered_spline`.
    pub seat: String,
    /// Names of the shafts, in the order of their file.
    pub shafts: Vec<String>,
    /// Names of the hubs, in the order of their file.
    pub hubs: Vec<String>,
    /// The measured spacers, in the order of their file; empty without such a file.
    pub spacers: Vec<MeasuredSpacer>,
    /// Which shaft meets which hub.
    pub order: Order,
    /// Where the spacers come from.
    pub stock: Stock,
    /// Draw-up that is asked for: first touch less thickness (mm).
    pub draw_up_mm: f64,
    /// True when the draw-up is that of the nominal pair because none was asked for.
    pub draw_up_nominal: bool,
    /// Nominal thickness of the spacer (mm).
    pub nominal_thickness_mm: f64,
    /// Torque set on the wrench (N·m).
    pub torque_nm: f64,
    /// Names of the limits that a pair may break, for example `clamp_load.min`.
    pub limits: Vec<String>,
    /// What a reader must know of some pairs, and of how many.
    pub cautions: Vec<(String, usize)>,
    /// The pairs: all hubs of the first shaft, then all of the second, or in the order of the rows.
    pub pairs: Vec<MatrixPair>,
}

/// Which shaft meets which hub.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Every shaft meets every hub.
    All,
    /// The first shaft meets the first hub, the second the second.
    Rows,
}

/// Where the spacers come from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stock {
    /// Each is made to the thickness that its pair needs.
    Made,
    /// In steps from the nominal thickness.
    Steps {
        /// The step (mm).
        step_mm: f64,
    },
    /// The measured ones, the nearest for each pair for itself.
    Measured,
    /// The measured ones, each in the pair of its own row.
    Rows,
}

/// One measured spacer.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredSpacer {
    /// Its name.
    pub name: String,
    /// Its thickness (mm).
    pub thickness_mm: f64,
}

/// A thickness, and which measured spacer has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Thickness (mm).
    pub thickness_mm: f64,
    /// Place in the list of measured spacers, when it is one of them.
    pub spacer: Option<usize>,
}

/// One pair. Values that are not defined for it are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct MatrixPair {
    /// Place in the list of shafts.
    pub shaft: usize,
    /// Place in the list of hubs.
    pub hub: usize,
    /// Stand-off at first touch (mm); left out when the cones never meet.
    pub first_touch_mm: Option<f64>,
    /// Thickness that gives exactly the draw-up asked for (mm); left out when no thickness does.
    pub needed_mm: Option<f64>,
    /// The spacer chosen; left out when none can give the draw-up: what follows then holds for the nominal spacer.
    pub chosen: Option<Choice>,
    /// Draw-up to close with that spacer (mm).
    pub draw_up_mm: Option<f64>,
    /// Final stand-off (mm).
    pub stand_off_mm: Option<f64>,
    /// Gap left (mm).
    pub gap_mm: Option<f64>,
    /// Clamp load (N).
    pub clamp_load_n: Option<f64>,
    /// Load on the cones (N).
    pub seat_load_n: Option<f64>,
    /// Share of the overlap that bears under load.
    pub contact_share: Option<f64>,
    /// Key of the verdict.
    pub verdict: String,
    /// Broken limits, as places in the list of limits.
    pub broken: Vec<u16>,
    /// Smallest and largest thickness of the unbroken run of good ones nearest to the one needed (mm). Both ends were
    /// solved and are good. Left out when none is good, or when none was searched.
    pub good_mm: Option<[f64; 2]>,
    /// False when the angles are too far from nominal to search for good thicknesses: one may still exist.
    pub searched: bool,
    /// What would make a pair good that is not: another spacer of the stock, solved and found good.
    pub remedy: Option<Choice>,
}

impl MatrixPair {
    /// Whether the pair is good with the spacer chosen.
    pub fn is_good(&self) -> bool {
        self.chosen.is_some() && self.verdict == "good"
    }

    /// Whether a spacer of the stock makes the pair good.
    pub fn can_be_good(&self) -> bool {
        self.is_good() || self.remedy.is_some()
    }
}

impl Matrix {
    /// Pairs that are good with the spacer chosen.
    pub fn good(&self) -> usize {
        self.pairs.iter().filter(|pair| pair.is_good()).count()
    }

    /// Pairs that a spacer of the stock makes good.
    pub fn can_be_good(&self) -> usize {
        self.pairs.iter().filter(|pair| pair.can_be_good()).count()
    }

    /// Decimals of a millimetre that tell the thicknesses of the stock apart: at most four.
    pub fn decimals(&self) -> usize {
        let fewest = |value: f64| {
            (0..4)
                .find(|&d| {
                    let written: f64 = format!("{value:.d$}").parse().unwrap_or(f64::NAN);
                    (written - value).abs() < 1e-9
                })
                .unwrap_or(4)
        };
        match self.stock {
            Stock::Steps { step_mm } => fewest(step_mm).max(fewest(self.nominal_thickness_mm)),
            Stock::Made => 3,
            Stock::Measured | Stock::Rows => self
                .spacers
                .iter()
                .map(|spacer| fewest(spacer.thickness_mm))
                .max()
                .unwrap_or(3),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn matrix(stock: Stock, nominal: f64) -> Matrix {
        Matrix {
            program_version: String::new(),
            scenario: String::new(),
            scenario_hash: String::new(),
            title: String::new(),
            seat: "cone".to_owned(),
            shafts: Vec::new(),
            hubs: Vec::new(),
            spacers: vec![MeasuredSpacer {
                name: "a".to_owned(),
                thickness_mm: 6.125,
            }],
            order: Order::All,
            stock,
            draw_up_mm: 0.3,
            draw_up_nominal: false,
            nominal_thickness_mm: nominal,
            torque_nm: 60.0,
            limits: Vec::new(),
            cautions: Vec::new(),
            pairs: Vec::new(),
        }
    }

    #[test]
    fn as_many_decimals_as_the_stock_is_stated_with() {
        assert_eq!(matrix(Stock::Steps { step_mm: 0.05 }, 6.0).decimals(), 2);
        assert_eq!(matrix(Stock::Steps { step_mm: 0.1 }, 6.025).decimals(), 3);
        assert_eq!(matrix(Stock::Measured, 6.0).decimals(), 3);
        assert_eq!(matrix(Stock::Made, 6.0).decimals(), 3);
    }
}
