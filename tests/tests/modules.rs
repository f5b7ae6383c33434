//! Within a crate no modules need one another in a circle, so that each can be read, and changed, with
//! what it stands on alone. A module and those within it are one family: a parent names its children,
//! and they use what it has.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use suite::{code, root, sources};

/// The names from the root of a crate on, and a module by them: `["parser", "line"]`.
type Names = Vec<String>;

/// The modules of a crate with their code.
type Modules = BTreeMap<Names, String>;

fn modules(folder: &Path) -> Modules {
    let module = |path: std::path::PathBuf| {
        let within = path.strip_prefix(folder).unwrap().with_extension("");
        let mut names: Names =
            within.iter().map(|name| name.to_str().unwrap().to_owned()).collect();
        names.pop_if(|last| matches!(last.as_str(), "mod" | "lib" | "main"));
        (names, code(&fs::read_to_string(path).unwrap()))
    };
    sources(folder).into_iter().map(module).collect()
}

/// All paths of a tree: `a::{b, c::d as e}` is `a b` and `a c d`.
fn paths(tree: &str) -> Vec<Names> {
    let (before, list) = match tree.split_once('{') {
        Some((before, list)) => (before, list.rsplit_once('}').map_or(list, |(list, _)| list)),
        None => (tree.split(" as ").next().unwrap_or_default(), ""),
    };
    let names = before.split("::").map(str::trim).filter(|name| !name.is_empty());
    let names: Names = names.map(str::to_owned).collect();
    if list.is_empty() {
        return vec![names];
    }
    let mut depth = 0;
    let branches = list.split(|c: char| {
        depth += i32::from(c == '{') - i32::from(c == '}');
        c == ',' && depth == 0
    });
    let branches = branches.filter(|branch| !branch.trim().is_empty()).flat_map(paths);
    branches.map(|branch| [names.clone(), branch].concat()).collect()
}

/// What a module names by `crate`, `super` or `self`, in paths from the root of the crate on.
fn named(module: &[String], code: &str) -> Vec<Names> {
    let is_of_name = |c: char| c.is_alphanumeric() || c == '_';
    let mut found = Vec::new();
    for start in ["crate::", "super::", "self::"] {
        for (place, _) in code.match_indices(start) {
            let before = code[..place].chars().next_back();
            let is_scope = code[..place].ends_with("pub(in ");
            if before.is_some_and(|c| is_of_name(c) || c == ':') || is_scope {
                continue;
            }
            let mut depth = 0;
            let end = code[place..].find(|c: char| {
                depth += i32::from(c == '{') - i32::from(c == '}');
                depth <= 0 && !is_of_name(c) && !":{}".contains(c)
            });
            for path in paths(&code[place..end.map_or(code.len(), |end| place + end)]) {
                let above = path.iter().filter(|name| *name == "super").count();
                let base = if path[0] == "crate" { 0 } else { module.len().saturating_sub(above) };
                let names =
                    path.into_iter().filter(|n| !["crate", "super", "self"].contains(&n.as_str()));
                found.push(module[..base].iter().cloned().chain(names).collect());
            }
        }
    }
    found
}

/// Where what a module passes on comes from: `pub use line::Line` is `Line`, of `line`.
fn passed_on(modules: &Modules, module: &Names, code: &str) -> BTreeMap<String, Names> {
    let code = format!("\n{code}");
    let starts = ["\npub use ", "\npub(crate) use ", "\npub(super) use "];
    let items = starts.into_iter().flat_map(|start| code.split(start).skip(1));
    let trees = items.filter_map(|item| item.split(';').next());
    let passed = trees.flat_map(paths).filter_map(|mut path| {
        let name = path.pop()?;
        let from = [module.clone(), path].concat();
        (from != *module && modules.contains_key(&from)).then_some((name, from))
    });
    passed.collect()
}

/// The modules that are part of a circle, or stand between two of them.
fn circles(modules: &Modules) -> Vec<String> {
    let passed: BTreeMap<&[String], BTreeMap<String, Names>> = modules
        .iter()
        .map(|(module, code)| (module.as_slice(), passed_on(modules, module, code)))
        .collect();
    let of_path = |path: &Names| -> Option<Names> {
        let is_module = |length: &usize| modules.contains_key(&path[..*length]);
        let length = (0..=path.len()).rev().find(is_module)?;
        let mut module = &path[..length];
        // What is passed on comes from further within.
        while let Some(from) = path.get(length).and_then(|name| passed[module].get(name)) {
            module = from;
        }
        Some(module.to_vec())
    };
    let mut edges: BTreeSet<(Names, Names)> = BTreeSet::new();
    for (module, code) in modules {
        let needed = named(module, code).into_iter().filter_map(|path| of_path(&path));
        let others = needed.filter(|other| !other.starts_with(module));
        edges.extend(others.map(|other| (module.clone(), other)));
    }
    // What needs nothing that is left, or is needed by nothing, is part of no circle.
    loop {
        let needing: BTreeSet<Names> = edges.iter().map(|(one, _)| one.clone()).collect();
        let needed: BTreeSet<Names> = edges.iter().map(|(_, other)| other.clone()).collect();
        let before = edges.len();
        edges.retain(|(one, other)| needed.contains(one) && needing.contains(other));
        if edges.len() == before {
            return edges
                .iter()
                .map(|(a, b)| format!("{} -> {}", a.join("::"), b.join("::")))
                .collect();
        }
    }
}

#[test]
fn no_circles() {
    let mut read = 0;
    for krate in fs::read_dir(root().join("crates")).unwrap() {
        let modules = modules(&krate.unwrap().path().join("src"));
        read += modules.len();
        let advice = "what they share belongs into a module below them";
        assert_eq!(circles(&modules), [] as [&str; 0], "{advice}");
    }
    assert!(read > 250, "only {read} modules were read");
}

/// The search finds what is planted.
#[test]
fn what_is_planted_is_found() {
    let planted = |sources: &[(&str, &str)]| {
        let module = |(name, code): &(&str, &str)| {
            (
                name.split("::").filter(|n| !n.is_empty()).map(str::to_owned).collect(),
                (*code).to_owned(),
            )
        };
        circles(&sources.iter().map(module).collect()).len()
    };
    let root = ("", "mod a;\npub use a::One;\npub use b::{self, Two};\n");
    let (a, b) = (("a", "use crate::b::Two;\n"), ("b", "fn f() -> super::a::One {}\n"));
    assert_eq!(planted(&[root, a, b]), 2);
    assert_eq!(
        planted(&[root, a, ("b", "use crate::{Three, One};\n")]),
        2,
        "passed on by the root"
    );
    assert_eq!(planted(&[root, a, ("b", "use crate::{x::{y, z}, a::{One as Other}};\n")]), 2);
    let three = [("a", "use super::b;\n"), ("b", "use super::c;\n"), ("c", "use super::a;\n")];
    assert_eq!(planted(&three), 3);
    assert_eq!(
        planted(&[("a", "use self::b::Two;\n"), ("a::b", "use super::One;\n")]),
        0,
        "a family"
    );
    assert_eq!(planted(&[root, a, ("b", "pub(in crate::a) fn f(supercrate::a: u8) {}\n")]), 0);
}
