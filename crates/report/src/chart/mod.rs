//! The charts of the page: each is a function of the record, drawn for the column and for a telephone.

mod axis;
mod callout;
mod capability;
mod distribution;
mod field;
mod half_section;
mod joint;
pub mod ladder;
mod later;
pub mod lot;
pub mod matrix;
mod parts;
mod play;
mod rejects;
mod strip;
mod teeth;
mod torque;

use record::Record;

use crate::drawing::{Layout, Picture};
use crate::{Chart, RenderError, figure, text};

pub use capability::{has_lots, limits, shape, weakest};
pub use parts::{density, deviations, nominal, outside_words, share_outside};

/// One chart in both layouts.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Name: the file name without its ending.
    pub name: String,
    /// For the column of the page.
    pub wide: Picture,
    /// For a telephone.
    pub narrow: Picture,
}

impl Figure {
    /// The figure as HTML: the page shows the layout that fits.
    pub fn html(&self) -> String {
        format!(
            "<figure>\n{}{}</figure>\n",
            self.wide.inline, self.narrow.inline
        )
    }

    /// The figure as a file of its own.
    pub fn file(&self) -> Chart {
        Chart {
            file_name: format!("{}.svg", self.name),
            svg: self.wide.alone.clone(),
        }
    }
}

/// All charts of a record. A chart that the record has nothing for is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// A thousand joints.
    pub field: Figure,
    /// The joint to scale, with the strip of the clamping face.
    pub joint: Figure,
    /// Draw-up to close by verdict.
    pub distribution: Option<Figure>,
    /// What the torque buys.
    pub torque: Option<Figure>,
    /// Rejects by first cause.
    pub rejects: Option<Figure>,
    /// By how much joints that are not right can move.
    pub play: Option<Figure>,
    /// What becomes of the clamp load after assembly.
    pub later: Option<Figure>,
    /// Capability of the judged outputs.
    pub capability: Option<Figure>,
    /// Characteristics against their drawing limits.
    pub parts: Option<Figure>,
}

impl Figures {
    /// Draws all charts.
    ///
    /// # Errors
    /// [`RenderError::Plot`] when the plotting library refuses one.
    pub fn draw(record: &Record) -> Result<Figures, RenderError> {
        let both = |name: &str, draw: &dyn Fn(&Record, Layout) -> Picture| Figure {
            name: name.to_owned(),
            wide: draw(record, Layout::Wide),
            narrow: draw(record, Layout::Narrow),
        };
        let plotted = |name: &str, draw: &dyn Fn(Layout) -> Result<Picture, RenderError>| {
            Ok::<Figure, RenderError>(Figure {
                name: name.to_owned(),
                wide: draw(Layout::Wide)?,
                narrow: draw(Layout::Narrow)?,
            })
        };
        let draw_up = record
            .draw_up
            .as_ref()
            .filter(|d| d.counts.values().flatten().any(|c| *c > 0));
        let curve = record.torque_curve.as_ref().filter(|c| c.points.len() > 1);
        Ok(Figures {
            field: both("field", &field::draw),
            joint: both("joint", &joint::draw),
            distribution: draw_up
                .map(|d| plotted("draw-up", &|layout| distribution::draw(record, d, layout)))
                .transpose()?,
            torque: curve
                .map(|c| plotted("torque", &|layout| torque::draw(record, c, layout)))
                .transpose()?,
            rejects: record
                .rejects
                .iter()
                .any(|r| r.count > 0)
                .then(|| both("rejects", &rejects::draw)),
            play: play::plays(record)
                .iter()
                .any(|p| p.quantiles().is_some())
                .then(|| plotted("play", &|layout| play::draw(record, layout)))
                .transpose()?,
            later: later::has_later(record).then(|| both("clamp-later", &later::draw)),
            capability: record
                .outputs
                .iter()
                .any(capability::has_index)
                .then(|| both("capability", &capability::draw)),
            parts: (!record.characteristics.is_empty()).then(|| both("parts", &parts::draw)),
        })
    }

    /// All figures in the order of the page.
    pub fn all(&self) -> Vec<&Figure> {
        let optional = [
            &self.distribution,
            &self.torque,
            &self.rejects,
            &self.play,
            &self.later,
            &self.capability,
            &self.parts,
        ];
        let mut all = vec![&self.field, &self.joint];
        all.extend(optional.into_iter().flatten());
        all
    }

    /// The charts as files.
    pub fn files(&self) -> Vec<Chart> {
        self.all().into_iter().map(Figure::file).collect()
    }
}

/// What stands under every chart: which scenario, how many pairings, which seed, which intervals.
pub fn stamp(record: &Record, pairings: u64) -> String {
    format!(
        "Simulated: {}, {}, seed {}, intervals {}.",
        text::label(&record.scenario.name, 32),
        figure::pairings(pairings),
        record.seed,
        figure::confidence(record.confidence),
    )
}

#[cfg(test)]
mod tests;
