//! The libraries take values and return values: files, the terminal, threads, clocks and the
//! environment are the command's alone. So they compile wherever Rust does, a browser included.

use std::collections::{HashMap, HashSet};
use std::fs;
use std::path::PathBuf;

use suite::{code, root, sources};

/// What no library may name outside its tests.
const FORBIDDEN: [&str; 22] = [
    "std::fs",
    "std::net",
    "std::thread",
    "std::process",
    "std::env",
    "std::os",
    "std::path",
    "Instant",
    "SystemTime",
    "stdin(",
    "stdout(",
    "stderr(",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "File::open",
    "env!(",
    "include_dir!",
    "catch_unwind",
    "extern \"C\"",
];

/// Packages that do such things.
const PACKAGES: [&str; 6] = ["rayon", "notify", "tempfile", "indicatif", "terminal_size", "clap"];

/// The folders of the libraries: all crates but the command.
fn libraries() -> Vec<PathBuf> {
    let crates = fs::read_dir(root().join("crates")).unwrap();
    let folders = crates.map(|entry| entry.unwrap().path()).filter(|path| !path.ends_with("cli"));
    folders.filter(|path| path.join("Cargo.toml").is_file()).collect()
}

/// What of the forbidden a source names. `use std::{fs, …}` is written out first.
fn named(source: &str) -> Vec<&'static str> {
    let mut code = code(source);
    for list in source.split("use std::{").skip(1) {
        let names = list.split("};").next().unwrap_or_default();
        code.extend(names.split(',').map(|name| format!("\nstd::{}", name.trim())));
    }
    let is_named = |what: &&str| {
        code.match_indices(*what).any(|(place, _)| {
            // `printed!` is not `print!`, and `option_env!(` not `env!(`.
            let before = code[..place].chars().next_back();
            !before.is_some_and(|c| c.is_alphanumeric() || c == '_')
        })
    };
    FORBIDDEN.into_iter().filter(is_named).collect()
}

/// The names in a table of dependencies, by the name of the package.
fn dependencies(manifest: &str) -> Vec<&str> {
    let tables = manifest.split("\n[").filter(|table| {
        let name = table.split(']').next().unwrap_or_default().trim_start_matches('[');
        name == "dependencies" || name.ends_with(".dependencies")
    });
    let lines = tables.flat_map(|table| table.lines().skip(1));
    lines.filter_map(|line| line.split(['.', ' ', '=']).next()).filter(|n| !n.is_empty()).collect()
}

/// All packages of the lock file, with those that each needs: `name = "zip"`, and `"zip",` or
/// `"zip 9.8.2",` in a list.
fn locked(lock: &str) -> HashMap<&str, Vec<&str>> {
    fn word(line: &str) -> Option<&str> {
        line.split('"').nth(1)?.split(' ').next()
    }
    let mut packages: HashMap<&str, Vec<&str>> = HashMap::new();
    for package in lock.split("[[package]]").skip(1) {
        let name = package.lines().find(|line| line.starts_with("name = ")).and_then(word);
        let needed = package.split("dependencies = [").nth(1).unwrap_or_default();
        packages.entry(name.unwrap()).or_default().extend(needed.lines().filter_map(word));
    }
    packages
}

/// None of the packages that libraries need, near or far, does such things.
#[test]
fn no_package_that_is_needed_touches_anything_outside() {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let locked = locked(&lock);
    assert!(locked["cartella-cli"].contains(&"rayon"), "the lock file is read");
    let mut needed = HashSet::new();
    let mut left = Vec::new();
    for library in libraries() {
        let manifest = fs::read_to_string(library.join("Cargo.toml")).unwrap();
        left.extend(dependencies(&manifest).into_iter().map(str::to_owned));
    }
    // Our own are asked by their manifests: the lock file adds what their tests need.
    left.retain(|name| !name.starts_with("cartella"));
    while let Some(name) = left.pop() {
        // The lock file has what tests need, too; what our own need otherwise was read above.
        if name.starts_with("cartella") {
            continue;
        }
        assert!(!PACKAGES.contains(&name.as_str()), "{name} is needed by a library");
        // Of our own packages the manifests are read; the lock file has what their tests need, too.
        if !name.starts_with("cartella")
            && let Some(more) = locked.get(name.as_str())
            && needed.insert(name)
        {
            left.extend(more.iter().map(|&name| name.to_owned()));
        }
    }
    assert!(needed.len() > 40, "only {} packages were looked at", needed.len());
}

#[test]
fn libraries_touch_nothing_outside() {
    let libraries = libraries();
    assert!(libraries.len() >= 7, "{libraries:?}");
    let mut read = 0;
    for library in libraries {
        for path in sources(&library.join("src")) {
            let named = named(&fs::read_to_string(&path).unwrap());
            assert!(named.is_empty(), "{} names {named:?}", path.display());
            read += 1;
        }
        assert!(!library.join("build.rs").exists(), "{} is built by a program", library.display());
        let manifest = fs::read_to_string(library.join("Cargo.toml")).unwrap();
        let packages: Vec<&str> =
            dependencies(&manifest).into_iter().filter(|name| PACKAGES.contains(name)).collect();
        assert!(packages.is_empty(), "{} depends on {packages:?}", library.display());
    }
    assert!(read > 200, "only {read} sources were read");
}

/// The search finds what is planted.
#[test]
fn what_is_planted_is_found() {
    for (source, expected) in [
        ("fn f() { std::fs::read(\"a\"); }", "std::fs"),
        ("use std::{cell, fs};\n", "std::fs"),
        ("use std::time::Instant;\n", "Instant"),
        ("fn f() { println!(\"x\") }", "println!"),
        ("let x = std::io::stdin();", "stdin("),
        ("fn f() {} // the end\nstd::thread::spawn(f);", "std::thread"),
    ] {
        assert!(named(source).contains(&expected), "{source}");
    }
    for source in [
        "//! No std::fs here.\n/// `println!`\nfn f() {}",
        "fn f() {}\n\n#[cfg(test)]\nmod tests {\n    use std::fs;\n}\n",
        "fn f() { blueprint!(x); }",
    ] {
        assert_eq!(named(source), [] as [&str; 0], "{source}");
    }
    let manifest = "[package]\nname = \"x\"\n\n[dependencies]\nrayon.workspace = true\nnom = \"8\"\n\n\
                    [dev-dependencies]\ntempfile.workspace = true\n";
    assert_eq!(dependencies(manifest), ["rayon", "nom"]);
}
