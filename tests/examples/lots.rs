//! Writes the invented readings of `scenarios/lots` again: `cargo run -p acceptance --example lots`

use acceptance::{lots, repository};

fn main() -> std::io::Result<()> {
    let folder = repository("scenarios/lots");
    std::fs::create_dir_all(&folder)?;
    for (name, text) in lots::files() {
        std::fs::write(folder.join(name), text)?;
    }
    Ok(())
}
