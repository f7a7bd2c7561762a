//! Writes the invented measured parts of `scenarios/shelf` again: `cargo run -p acceptance --example shelf`

use acceptance::{repository, shelf};

fn main() -> std::io::Result<()> {
    let folder = repository("scenarios/shelf");
    std::fs::create_dir_all(&folder)?;
    for (name, text) in shelf::files() {
        std::fs::write(folder.join(name), text)?;
    }
    Ok(())
}
