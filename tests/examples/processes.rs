//! Draws the pictures of `scenarios/processes` again: `cargo run -p acceptance --example processes`

use acceptance::{processes, repository};

fn main() -> std::io::Result<()> {
    for (name, svg) in processes::pictures() {
        std::fs::write(repository("scenarios/processes").join(name), svg)?;
    }
    Ok(())
}
