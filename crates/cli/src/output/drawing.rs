//! The files of a report, in the order in which they are written.

use study::record::Record;

use crate::folder::{File, RECORD_FILE};

/// The files of the report on a record.
///
/// # Errors
/// What the drawing said when it failed; [`record_alone`] can still be written then.
pub fn files(record: &Record) -> Result<Vec<File>, String> {
    let rendered = report::render(record).map_err(|error| error.to_string())?;
    let mut files = record_alone(record);
    files.push(file("report.html", rendered.html));
    files.push(file("summary.csv", rendered.summary_csv));
    let charts = rendered.charts.into_iter();
    files.extend(charts.map(|chart| file(&chart.file_name, chart.svg)));
    Ok(files)
}

/// The record without its report: enough to draw the report later.
pub fn record_alone(record: &Record) -> Vec<File> {
    vec![file(RECORD_FILE, record.to_json())]
}

fn file(name: &str, text: String) -> File {
    File {
        name: name.to_owned(),
        bytes: text.into_bytes(),
    }
}
