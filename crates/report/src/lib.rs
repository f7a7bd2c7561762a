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
mod mark;
mod mode;
mod page;
mod plot;
mod scale;
mod seat;
mod style;
mod summary;
mod text;
mod unit;

#[cfg(test)]
#[path = "../tests/fixture/mod.rs"]
mod fixture;

use record::Record;

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
