//! Every kind of process has its page and its picture, and both are those of the code.

use acceptance::{lots, processes, repository};

fn page(name: &str) -> String {
    let path = repository("scenarios/processes").join(format!("{name}.md"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn every_kind_has_a_page_that_names_its_keys_and_shows_its_picture() {
    for kind in distributions::KINDS {
        let page = page(kind.name);
        let extra = kind.by_moments.map_or(&[][..], |way| way.extra);
        let own = kind.by_parameters.map_or(&[][..], |way| way.parameters);
        for parameter in extra.iter().chain(own) {
            let key = format!("`{}`", parameter.key);
            assert!(page.contains(&key), "{} does not name {key}", kind.name);
        }
        assert!(
            page.contains(&format!("({}.svg)", kind.name)),
            "{}",
            kind.name
        );
        assert!(page.contains("```text\n"), "{} has no formula", kind.name);
        assert!(
            std::fs::read_to_string(repository("scenarios/processes/README.md"))
                .is_ok_and(|index| index.contains(&format!("({}.md)", kind.name))),
            "{} is not in the index",
            kind.name
        );
    }
}

#[test]
fn pinned_pictures_are_what_the_code_draws() {
    for (name, svg) in processes::pictures() {
        let path = repository("scenarios/processes").join(&name);
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            committed == svg,
            "{name} differs: cargo run -p acceptance --example processes"
        );
    }
}

#[test]
fn pinned_invented_readings_are_what_the_generator_writes() {
    for (name, text) in lots::files() {
        let path = repository("scenarios/lots").join(name);
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            committed == text,
            "{name} differs: cargo run -p acceptance --example lots"
        );
    }
}
