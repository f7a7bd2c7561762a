//! Measured shafts and hubs, paired: the spacer that each pair needs, and what comes of it.
//!
//! The thickness that gives a draw-up `z` is `t = h0 - z`, with `h0` the stand-off at first touch. It is brought to the
//! stock, and the pair is solved with that spacer.

mod solver;

use std::ops::Range;
use std::path::PathBuf;

use fit::{Input, Output, Pairing, Solution};
use rayon::prelude::*;
use record::{Choice, Matrix, MatrixPair, MeasuredSpacer, Order, Stock};

use crate::depict;
use crate::loaded::Loaded;
use crate::measured::Measured;
use crate::pair::{self, At, Pair};
use crate::parts::separate::{self, PartList, PartLists};
use crate::parts::{Known, PartRow};
use crate::plan::Plan;
use crate::problem::id;
use crate::problem::{Problem, Problems};
use crate::scenario::Scenario;
use crate::stock::Shelf;
use solver::Solver;

/// Most pairs that are solved at once.
pub const MOST_PAIRS: usize = 250_000;

/// Pairs that are solved side by side.
const BATCH: usize = fit::LANES;

/// Said of pairs for which no thickness was searched.
const TOO_FAR: &str = "A half-angle is more than 0.05 rad from the scenario's nominal: the pair was solved with the one spacer, \
                       and no other thickness was tried.";

/// What to pair, and what to ask of the spacers.
#[derive(Debug, Clone, Default)]
pub struct MatchOptions<'a> {
    /// Sizes where nothing else is measured.
    pub at: At,
    /// CSV files of measured parts, one part each.
    pub parts: &'a [PathBuf],
    /// Every shaft with every hub; else row by row.
    pub all: bool,
    /// Draw-up asked for (mm); that of the nominal pair when left out.
    pub draw_up_mm: Option<f64>,
    /// Step of the stock of spacers (mm); made to measure when left out.
    pub step_mm: Option<f64>,
    /// Torque set on the wrench instead of the scenario's (N·m).
    pub torque_nm: Option<f64>,
}

/// The pairs, and what is needed to solve any of them again.
#[derive(Debug)]
pub struct Matched {
    /// What was found.
    pub matrix: Matrix,
    scenario: Scenario,
    solver: Solver,
    shelf: Shelf,
    sizes: Sizes,
}

/// What was measured of the parts, over the pairing that holds for all.
#[derive(Debug)]
struct Sizes {
    base: Pairing,
    shafts: Vec<PartRow>,
    hubs: Vec<PartRow>,
    spacers: Vec<PartRow>,
}

impl Sizes {
    /// Shaft and hub of a pair, as far as they were measured.
    fn parts(&self, [shaft, hub]: [usize; 2]) -> impl Iterator<Item = &PartRow> {
        self.shafts.get(shaft).into_iter().chain(self.hubs.get(hub))
    }

    fn measured(&self, case: [usize; 2]) -> Measured {
        let mut measured = Measured::new(self.base);
        self.parts(case).for_each(|part| measured.put(part));
        measured
    }

    /// The pair with a spacer: its thickness, and what else was measured of it.
    fn with_spacer(&self, mut measured: Measured, choice: Option<Choice>) -> Measured {
        let Some(choice) = choice else {
            return measured;
        };
        let spacer = choice.spacer.and_then(|place| self.spacers.get(place));
        spacer.into_iter().for_each(|spacer| measured.put(spacer));
        measured.with(Input::Thickness, choice.thickness_mm)
    }
}

/// Pairs measured parts and finds the spacers.
///
/// # Errors
/// All [`Problems`] of the files, or of what is asked.
pub fn match_parts(loaded: &Loaded, options: &MatchOptions<'_>) -> Result<Matched, Problems> {
    let lists = separate::read(options.parts, &Known::of(&loaded.scenario))?;
    let cases = cases(&lists, options)?;
    let (scenario, turned) = pair::at_torque(&loaded.scenario, options.torque_nm);
    let plan = Plan::new(&scenario).map_err(|reason| loaded.impossible(&reason))?;
    let mut base = pair::base(&loaded.scenario, options.at);
    base.0[Input::Torque.index()] *= turned;
    let solver = Solver::new(plan);
    let draw_up_mm = match options.draw_up_mm {
        Some(asked) => asked,
        None => nominal_draw_up(loaded, &solver)?,
    };
    let matrix = empty(loaded, options, &lists, &scenario, &solver, draw_up_mm);
    let shelf = Shelf::new(matrix.stock, matrix.nominal_thickness_mm, &matrix.spacers);
    let mut matched = Matched {
        matrix,
        scenario,
        solver,
        shelf,
        sizes: Sizes {
            base,
            shafts: rows(lists.shafts),
            hubs: rows(lists.hubs),
            spacers: rows(lists.spacers),
        },
    };
    matched.fill(&cases);
    Ok(matched)
}

/// The pairs to solve, as places of shaft and hub.
fn cases(lists: &PartLists, options: &MatchOptions<'_>) -> Result<Vec<[usize; 2]>, Problems> {
    if let (Some(spacers), Some(_)) = (&lists.spacers, options.step_mm) {
        let problem = Problem::new(
            &id::PARTS_AND_STEP,
            &spacers.file,
            "",
            "a file of measured spacers together with --step",
            "one of the two: measured spacers, or a stock in steps",
        );
        return Err(problem.into());
    }
    if !options.all {
        return Ok((0..even(lists)?).map(|row| places(lists, row)).collect());
    }
    let count = |list: &Option<PartList>| list.as_ref().map_or(1, |list| list.rows.len());
    let (shafts, hubs) = (count(&lists.shafts), count(&lists.hubs));
    if shafts.saturating_mul(hubs) > MOST_PAIRS {
        let problem = Problem::new(
            &id::TOO_MANY_PAIRS,
            "--all",
            "",
            &format!(
                "{shafts} shafts and {hubs} hubs, {} pairs",
                shafts.saturating_mul(hubs)
            ),
            &format!("at most {MOST_PAIRS} pairs"),
        );
        return Err(problem.hint("split one of the files").into());
    }
    let all = (0..shafts).flat_map(|shaft| (0..hubs).map(move |hub| [shaft, hub]));
    Ok(all.collect())
}

/// Places of shaft and hub in a row; what has no file is the same in every row.
fn places(lists: &PartLists, row: usize) -> [usize; 2] {
    [&lists.shafts, &lists.hubs].map(|list| if list.is_some() { row } else { 0 })
}

/// Number of rows of files that pair up row by row.
fn even(lists: &PartLists) -> Result<usize, Problems> {
    let given = [&lists.shafts, &lists.hubs, &lists.spacers];
    let mut given = given.into_iter().flatten();
    let Some(first) = given.next() else {
        return Ok(1);
    };
    let rows = first.rows.len();
    let uneven: Vec<Problem> = given
        .filter(|other| other.rows.len() != rows)
        .map(|other| {
            Problem::new(
                &id::PARTS_UNEVEN,
                &other.file,
                "",
                &format!("{} rows, and {rows} in {}", other.rows.len(), first.file),
                "as many rows in each file, because they pair up row by row",
            )
            .hint("--all pairs every shaft with every hub")
        })
        .collect();
    if !uneven.is_empty() {
        return Err(Problems::new(uneven));
    }
    if rows > MOST_PAIRS {
        let problem = Problem::new(
            &id::TOO_MANY_PAIRS,
            &first.file,
            "",
            &format!("{rows} rows"),
            &format!("at most {MOST_PAIRS} pairs"),
        );
        return Err(problem.hint("split the files").into());
    }
    Ok(rows)
}

/// What was measured of a part; empty without a file.
fn rows(list: Option<PartList>) -> Vec<PartRow> {
    list.map_or_else(Vec::new, |list| list.rows)
}

/// Draw-up of the pairing with every size at nominal.
fn nominal_draw_up(loaded: &Loaded, solver: &Solver) -> Result<f64, Problems> {
    let nominal = solver.plan.nominal();
    let solution = solver.plan.joint.solve(&nominal, &solver.plan.criteria);
    solution.get(Output::DrawUp).ok_or_else(|| {
        Problem::new(
            &id::NO_DRAW_UP,
            &format!("{}.toml", loaded.name),
            "",
            "a nominal pair whose cones never meet, so that it has no draw-up",
            "the draw-up that the spacers should give",
        )
        .hint("state it, for example --draw-up \"0.3 mm\"")
        .into()
    })
}

/// Everything but the pairs.
fn empty(
    loaded: &Loaded,
    options: &MatchOptions<'_>,
    lists: &PartLists,
    scenario: &Scenario,
    solver: &Solver,
    draw_up_mm: f64,
) -> Matrix {
    let names = |list: &Option<PartList>, part: &str| match list {
        Some(list) => list.names.clone(),
        None => vec![format!("nominal {part}")],
    };
    let spacers = lists.spacers.iter().flat_map(|list| {
        let thickness = |row: &PartRow| {
            let found = row.values.iter().find(|v| v.0 == Input::Thickness);
            found.map_or(scenario.spacer.thickness.nominal, |v| v.1)
        };
        let rows = list.names.iter().zip(&list.rows);
        rows.map(move |(name, row)| MeasuredSpacer {
            name: name.clone(),
            thickness_mm: thickness(row),
        })
    });
    let spacers: Vec<MeasuredSpacer> = spacers.collect();
    let stock = match (spacers.is_empty(), options.all, options.step_mm) {
        (false, true, _) => Stock::Measured,
        (false, false, _) => Stock::Rows,
        (true, _, Some(step_mm)) => Stock::Steps { step_mm },
        (true, _, None) => Stock::Made,
    };
    Matrix {
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        scenario: loaded.name.clone(),
        scenario_hash: loaded.hash.clone(),
        title: scenario.subject.title.clone(),
        seat: depict::seat(scenario).to_owned(),
        shafts: names(&lists.shafts, "shaft"),
        hubs: names(&lists.hubs, "hub"),
        spacers,
        order: if options.all { Order::All } else { Order::Rows },
        stock,
        draw_up_mm,
        draw_up_nominal: options.draw_up_mm.is_none(),
        nominal_thickness_mm: scenario.spacer.thickness.nominal,
        torque_nm: scenario.bolt.torque.nominal * 1e-3,
        limits: solver.plan.criteria.names(),
        cautions: Vec::new(),
        pairs: Vec::new(),
    }
}

impl Matched {
    /// Solves all cases, many side by side. Which core solves what changes nothing.
    fn fill(&mut self, cases: &[[usize; 2]]) {
        let solved: Vec<Vec<(MatrixPair, Vec<&'static str>)>> = cases
            .par_chunks(BATCH)
            .enumerate()
            .map(|(number, cases)| self.batch(number * BATCH, cases))
            .collect();
        let mut cautions: Vec<(String, usize)> = Vec::new();
        for (pair, said) in solved.into_iter().flatten() {
            for caution in said {
                match cautions.iter_mut().find(|(known, _)| known == caution) {
                    Some((_, count)) => *count += 1,
                    None => cautions.push((caution.to_owned(), 1)),
                }
            }
            self.matrix.pairs.push(pair);
        }
        self.matrix.cautions = cautions;
    }

    /// At most [`BATCH`] cases, of which the first stands at `first` of all.
    fn batch(&self, first: usize, cases: &[[usize; 2]]) -> Vec<(MatrixPair, Vec<&'static str>)> {
        let plain: Vec<Measured> = cases
            .iter()
            .map(|&case| self.sizes.measured(case))
            .collect();
        let touches: Vec<Option<f64>> = self
            .solver
            .solutions(&plain)
            .iter()
            .map(|solution| solution.get(Output::FirstTouch))
            .collect();
        let choices: Vec<Option<Choice>> = touches
            .iter()
            .enumerate()
            .map(|(i, touch)| self.choice(first + i, *touch))
            .collect();
        let fitted: Vec<Measured> = plain
            .into_iter()
            .zip(&choices)
            .map(|(measured, choice)| self.sizes.with_spacer(measured, *choice))
            .collect();
        let solutions = self.solver.solutions(&fitted);
        let windows = self
            .solver
            .windows(&fitted, &solutions, self.matrix.draw_up_mm);
        let remedies = self.remedies(&fitted, &choices, &solutions, &windows);
        (0..cases.len())
            .map(|i| {
                let searched = self.solver.in_reach(&fitted[i].pairing);
                let pair = MatrixPair {
                    good_mm: windows[i],
                    searched,
                    remedy: remedies[i],
                    ..self.found(cases[i], choices[i], &solutions[i])
                };
                let mut said = pair::cautions(&solutions[i]);
                said.extend((!searched).then_some(TOO_FAR));
                (pair, said)
            })
            .collect()
    }

    /// The spacer of a pair: that of its row, or the nearest of the stock.
    fn choice(&self, place: usize, touch: Option<f64>) -> Option<Choice> {
        if self.matrix.stock == Stock::Rows {
            let spacer = self.matrix.spacers.get(place)?;
            return Some(Choice {
                thickness_mm: spacer.thickness_mm,
                spacer: Some(place),
            });
        }
        self.shelf.nearest(touch? - self.matrix.draw_up_mm)
    }

    fn found(
        &self,
        [shaft, hub]: [usize; 2],
        chosen: Option<Choice>,
        solution: &Solution,
    ) -> MatrixPair {
        let first_touch_mm = solution.get(Output::FirstTouch);
        let needed = first_touch_mm.map(|touch| touch - self.matrix.draw_up_mm);
        MatrixPair {
            shaft,
            hub,
            first_touch_mm,
            needed_mm: needed.filter(|needed| *needed > 0.0),
            chosen,
            draw_up_mm: solution.get(Output::DrawUp),
            stand_off_mm: solution.get(Output::StandOff),
            gap_mm: solution.get(Output::Gap),
            clamp_load_n: solution.get(Output::ClampLoad),
            seat_load_n: solution.get(Output::SeatLoad),
            contact_share: solution.get(Output::ContactShare),
            verdict: solution.verdict.key().to_owned(),
            broken: (0..self.matrix.limits.len() as u16)
                .filter(|bit| solution.broken >> bit & 1 == 1)
                .collect(),
            good_mm: None,
            searched: true,
            remedy: None,
        }
    }

    /// For each pair that is not good: the nearest spacer of the stock that makes it good.
    fn remedies(
        &self,
        fitted: &[Measured],
        chosen: &[Option<Choice>],
        solutions: &[Solution],
        windows: &[Option<[f64; 2]>],
    ) -> Vec<Option<Choice>> {
        let choices: Vec<Option<Choice>> = solutions
            .iter()
            .zip(windows.iter().zip(chosen))
            .map(|(solution, (window, chosen))| {
                if solution.verdict == fit::Verdict::Good && chosen.is_some() {
                    return None;
                }
                let needed = solution.get(Output::FirstTouch)? - self.matrix.draw_up_mm;
                self.shelf.nearest_within(needed, (*window)?)
            })
            .collect();
        let tried: Vec<Measured> = fitted
            .iter()
            .zip(&choices)
            .map(|(measured, choice)| self.sizes.with_spacer(measured.clone(), *choice))
            .collect();
        let solved = self.solver.solutions(&tried);
        choices
            .into_iter()
            .zip(solved)
            .map(|(choice, solution)| choice.filter(|_| solution.verdict == fit::Verdict::Good))
            .collect()
    }

    /// Some of the pairs with every output, solved again with the spacers chosen.
    pub fn pairs(&self, range: Range<usize>) -> Vec<Pair> {
        let pairs = self.matrix.pairs.get(range.clone()).unwrap_or_default();
        let cases: Vec<[usize; 2]> = pairs.iter().map(|pair| [pair.shaft, pair.hub]).collect();
        let fitted: Vec<Measured> = cases
            .iter()
            .zip(pairs)
            .map(|(&case, pair)| {
                self.sizes
                    .with_spacer(self.sizes.measured(case), pair.chosen)
            })
            .collect();
        let solutions = self.solver.solutions(&fitted);
        let solved = fitted.iter().zip(&solutions).zip(&cases);
        range
            .zip(solved)
            .map(|(place, ((Measured { pairing, .. }, solution), &case))| {
                let errors = self.sizes.parts(case).flat_map(|part| &part.errors);
                let plan = &self.solver.plan;
                Pair {
                    row: place + 1,
                    ..pair::stated(&self.scenario, plan, pairing, errors, solution)
                }
            })
            .collect()
    }
}
