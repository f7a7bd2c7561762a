//! `lot`: study measured readings, write the report, print what was found.

use std::ffi::OsString;

use serde_json::Value;
use study::lot::{GaugeColumns, Grouping, LotOptions, NotStudied};
use study::readings::{self, Dialect};
use study::record::LotStudy;

use super::{destination, say_kept, undrawn};
use crate::exit::{Exit, Failure};
use crate::folder::{File, Folder, LOT_FILE};
use crate::guard::command_line;
use crate::input::lot::{Decimal, Encoding, Lot, Missing, Separator, Valued, Written};
use crate::output::plain::shown;
use crate::output::{console, lot as text};

/// Studies the readings, writes the report folder and prints what was found.
pub fn lot(arguments: &Lot, words: &[OsString]) -> Result<Exit, Failure> {
    let measured = study::lot::read(&arguments.readings, &options(arguments))?;
    let stem = arguments.readings.file_stem().unwrap_or_default();
    let folder = destination(&arguments.to, &stem.to_string_lossy(), measured.sha256())?;
    let path = folder.path().to_owned();
    let study = measured.study();
    whole(&study, words)?;
    let written = write(folder, &study, words);
    // What was found is printed even when the folder cannot be written after all.
    let mut printed = if arguments.json {
        study.to_json()
    } else {
        text::lot(&study)
    };
    if written.is_ok() && !arguments.json {
        printed += &format!("Report in {}\n", shown(path));
    }
    if arguments.json && !arguments.quiet {
        text::warnings(&study)
            .iter()
            .for_each(|line| console::note(line));
    }
    console::print(&printed)?;
    written?;
    Ok(Exit::Done)
}

impl From<NotStudied> for Failure {
    fn from(why: NotStudied) -> Failure {
        match why {
            NotStudied::Readings(problems) => Failure::Input(problems),
            NotStudied::Options(lines) => Failure::Options(lines.join("\n")),
        }
    }
}

/// What is asked for, in the words of the study.
fn options(arguments: &Lot) -> LotOptions {
    let columns = &arguments.columns;
    let drawing = &arguments.drawing;
    let values = |valued: &[Valued]| valued.iter().map(|v| v.0.clone()).collect();
    let size = columns
        .subgroup_size
        .map(|size| Grouping::Size(size as usize));
    LotOptions {
        dialect: dialect(&arguments.written),
        columns: columns.column.clone(),
        units: values(&columns.unit),
        nominals: values(&drawing.nominal),
        classes: values(&drawing.class),
        deviations: values(&drawing.deviations),
        mins: values(&drawing.min),
        maxs: values(&drawing.max),
        grouping: columns.subgroup.clone().map(Grouping::Column).or(size),
        gauge: columns
            .part
            .clone()
            .zip(columns.appraiser.clone())
            .map(|(part, appraiser)| GaugeColumns {
                part,
                appraiser,
                trial: columns.trial.clone(),
            }),
        serial: columns.serial.clone(),
        about: arguments
            .about
            .iter()
            .map(|about| (about.what.clone(), about.text.clone()))
            .collect(),
        confidence: arguments.confidence.0,
    }
}

fn dialect(written: &Written) -> Dialect {
    Dialect {
        decimal: match written.decimal {
            Decimal::Point => readings::Decimal::Point,
            Decimal::Comma => readings::Decimal::Comma,
        },
        separator: written.separator.map(|separator| match separator {
            Separator::Comma => readings::Separator::Comma,
            Separator::Semicolon => readings::Separator::Semicolon,
            Separator::Tab => readings::Separator::Tab,
        }),
        encoding: match written.encoding {
            Encoding::Utf8 => readings::Encoding::Utf8,
            Encoding::Windows1252 => readings::Encoding::Windows1252,
        },
        missing: match written.missing {
            Missing::Refuse => readings::Missing::Refuse,
            Missing::Drop => readings::Missing::Drop,
        },
        skip_rows: written.skip_rows,
        repeated_names: written.repeated_names,
    }
}

/// Refuses a study with a value that is not a number: a defect, which JSON would hide as `null`.
fn whole(study: &LotStudy, words: &[OsString]) -> Result<(), Failure> {
    let sound = serde_json::to_value(study).is_ok_and(|value| no_null(&value));
    if sound {
        return Ok(());
    }
    Err(Failure::Defect {
        what: "the study holds a value that is not a number".to_owned(),
        command: command_line(words),
    })
}

fn no_null(value: &Value) -> bool {
    match value {
        Value::Null => false,
        Value::Array(all) => all.iter().all(no_null),
        Value::Object(all) => all.values().all(no_null),
        _ => true,
    }
}

/// Writes study, page, charts and table; when they cannot be drawn, the study alone.
fn write(folder: Folder, study: &LotStudy, words: &[OsString]) -> Result<(), Failure> {
    let file = |name: &str, text: String| File {
        name: name.to_owned(),
        bytes: text.into_bytes(),
    };
    let mut files = vec![file(LOT_FILE, study.to_json())];
    match report::render_lot(study) {
        Ok(rendered) => {
            files.push(file("lot.html", rendered.html));
            files.push(file("lot.csv", rendered.summary_csv));
            let charts = rendered.charts.into_iter();
            files.extend(charts.map(|chart| file(&chart.file_name, chart.svg)));
            say_kept(folder.write(&files)?);
            Ok(())
        }
        Err(error) => {
            let path = folder.path().join(LOT_FILE);
            say_kept(folder.write(&files)?);
            console::note(&format!("note: the study is safe in {}", shown(path)));
            Err(undrawn(error.to_string(), words))
        }
    }
}
