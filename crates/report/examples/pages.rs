//! Writes the pages and charts of the test records into a folder, to be looked at:
//! `cargo run -p report --example pages -- FOLDER`

#[path = "../tests/fixture/mod.rs"]
mod fixture;

use std::path::PathBuf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args_os().nth(1).ok_or("usage: pages FOLDER")?);
    std::fs::create_dir_all(&folder)?;
    for (name, record) in fixture::all() {
        let rendered = report::render(&record)?;
        std::fs::write(folder.join(format!("{name}.html")), &rendered.html)?;
        std::fs::write(folder.join(format!("{name}.csv")), &rendered.summary_csv)?;
        std::fs::write(folder.join(format!("{name}.json")), record.to_json())?;
        for chart in rendered.charts {
            std::fs::write(
                folder.join(format!("{name}-{}", chart.file_name)),
                chart.svg,
            )?;
        }
    }
    for (name, matrix) in fixture::matrices() {
        let rendered = report::render_matrix(&matrix)?;
        std::fs::write(folder.join(format!("matrix-{name}.html")), rendered.html)?;
    }
    for (name, ladder) in fixture::ladders() {
        let rendered = report::render_ladder(&ladder)?;
        std::fs::write(folder.join(format!("ladder-{name}.html")), rendered.html)?;
    }
    for (name, study) in fixture::lots() {
        let rendered = report::render_lot(&study)?;
        std::fs::write(folder.join(format!("lot-{name}.html")), rendered.html)?;
    }
    Ok(())
}
