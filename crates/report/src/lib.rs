//! Record to charts, page and tables.
//!
//! [`render`] turns a [`record::Record`] into one self-contained HTML page, the charts of that page as
//! stand-alone SVG files, and the numbers behind both as CSV. It knows no runner: a saved record can be
//! drawn again years later, and the same record always gives the same bytes.
//!
//! The way through: `page` writes the sections in reading order and asks `chart` for the pictures;
//! `figure` writes numbers, `mode` knows the words, hue, mark and hatch of every cause, `drawing` keeps
//! lines and text boxes, `plot` lets plotters draw data curves.

mod apportion;
mod chart;
mod drawing;
mod face;
mod figure;
mod lot_summary;
mod mark;
mod mode;
mod page;
mod plot;
mod scale;
mod seat;
mod sheet;
mod style;
mod summary;
mod text;
mod unit;

#[cfg(test)]
#[path = "../tests/fixture/mod.rs"]
mod fixture;

pub use seat::Seat;

use record::{Ladder, LotStudy, Matrix, Record};

/// Everything that is made from one record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rendered {
    /// The page: one file without script that fetches nothing.
    pub html: String,
    /// The charts of the page, each a file that stands alone.
    pub charts: Vec<Chart>,
    /// The numbers behind the page, one a row.
    pub summary_csv: String,
}

/// One chart as a file of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// File name without folder, for example `field.svg`.
    pub file_name: String,
    /// The SVG document.
    pub svg: String,
}

/// Why a record could not be rendered.
#[derive(Debug, thiserror::Error)]
pub enum RenderError {
    /// The plotting library refused a chart.
    #[error("the chart {chart} could not be drawn: {reason}")]
    Plot {
        /// Name of the chart.
        chart: String,
        /// What the library said.
        reason: String,
    },
    /// The table of numbers could not be written.
    #[error("the table of numbers could not be written: {0}")]
    Table(#[from] csv::Error),
}

/// Renders a record: page, charts and table of numbers.
///
/// # Errors
/// [`RenderError`] when the plotting library or the CSV writer fails; no record is known to cause it.
pub fn render(record: &Record) -> Result<Rendered, RenderError> {
    let figures = chart::Figures::draw(record)?;
    Ok(Rendered {
        html: page::write(record, &figures),
        charts: figures.files(),
        summary_csv: summary::write(record)?,
    })
}

/// Renders the pairs of measured parts: page, picture and table. A matrix too large to be looked at has no picture.
///
/// # Errors
/// [`RenderError`] when the CSV writer fails; no matrix is known to cause it.
pub fn render_matrix(matrix: &Matrix) -> Result<Rendered, RenderError> {
    let figure = chart::matrix::figure(matrix);
    Ok(Rendered {
        html: page::matrix::write(matrix, figure.as_ref()),
        charts: figure.iter().map(chart::Figure::file).collect(),
        summary_csv: sheet::pairs(matrix)?,
    })
}

/// Renders a ladder of torques: page, picture and table.
///
/// # Errors
/// [`RenderError`] when the plotting library or the CSV writer fails; no ladder is known to cause it.
pub fn render_ladder(ladder: &Ladder) -> Result<Rendered, RenderError> {
    let figure = chart::ladder::figure(ladder)?;
    Ok(Rendered {
        html: page::ladder::write(ladder, &figure),
        charts: vec![figure.file()],
        summary_csv: sheet::rungs(ladder)?,
    })
}

/// Renders the study of a measured lot: page, charts and table of numbers.
///
/// # Errors
/// [`RenderError`] when the plotting library or the CSV writer fails; no study is known to cause it.
pub fn render_lot(study: &LotStudy) -> Result<Rendered, RenderError> {
    let figures = chart::lot::draw(study)?;
    Ok(Rendered {
        html: page::lot::write(study, &figures),
        charts: figures
            .iter()
            .flat_map(chart::lot::Figures::all)
            .map(chart::Figure::file)
            .collect(),
        summary_csv: lot_summary::write(study)?,
    })
}

/// What a measured lot shows, a sentence each, counts first.
pub fn lot_findings(study: &LotStudy) -> Vec<String> {
    page::lot::answer::findings(study)
}

/// What the pairs of measured parts come to, in one sentence without a full stop.
pub fn matrix_finding(matrix: &Matrix) -> String {
    chart::matrix::title(matrix)
}

/// What a pairing does as the torque rises, a sentence each.
pub fn ladder_findings(ladder: &Ladder) -> Vec<String> {
    chart::ladder::findings(ladder)
}
