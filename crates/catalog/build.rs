//! Lists the data files of the repository, so that the program carries them and works alone.

use std::fmt::Write as _;
use std::path::Path;
use std::{env, error, fs};

fn main() -> Result<(), Box<dyn error::Error>> {
    let root = Path::new(&env::var("CARGO_MANIFEST_DIR")?).join("../../data");
    println!("cargo::rerun-if-changed={}", root.display());
    let mut list = String::from("&[\n");
    add(&mut list, &root, "sources.toml")?;
    add(&mut list, &root, "processor-names.toml")?;
    for folder in ["boards", "modules", "processors"] {
        println!("cargo::rerun-if-changed={}", root.join(folder).display());
        let mut names = Vec::new();
        if let Ok(entries) = fs::read_dir(root.join(folder)) {
            for entry in entries {
                names.push(entry?.file_name().to_string_lossy().into_owned());
            }
        }
        names.sort();
        for name in names.iter().filter(|n| n.ends_with(".toml")) {
            add(&mut list, &root, &format!("{folder}/{name}"))?;
        }
    }
    list.push_str("]\n");
    fs::write(Path::new(&env::var("OUT_DIR")?).join("shipped.rs"), list)?;
    Ok(())
}

fn add(list: &mut String, root: &Path, name: &str) -> Result<(), Box<dyn error::Error>> {
    let path = root.join(name);
    if path.is_file() {
        println!("cargo::rerun-if-changed={}", path.display());
        let full = path.canonicalize()?;
        writeln!(list, "    ({name:?}, include_bytes!({:?})),", full.display().to_string())?;
    }
    Ok(())
}
