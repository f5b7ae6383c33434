//! Where things are that the tests read.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The twelve madrigals of the open data.
pub const MADRIGALS: [&str; 12] = [
    "alberti_dalmio",
    "bardi_lauroohi",
    "belli_amorcon",
    "fiorino_delanima",
    "gabrielli_oinprimavera",
    "giovannelli_nelfoco",
    "ingegneri_gianon",
    "macque_goditipur",
    "pigna_giustodis",
    "spontone_tamai",
    "vecchi_fummofelici",
    "virchi_arsimentre",
];

/// Those whose part files agree with the edition as they stand.
pub const CLEAN_MADRIGALS: [&str; 7] = [
    "alberti_dalmio",
    "bardi_lauroohi",
    "gabrielli_oinprimavera",
    "ingegneri_gianon",
    "macque_goditipur",
    "pigna_giustodis",
    "vecchi_fummofelici",
];

/// The part-books of a madrigal, top voice first.
pub const PARTS: [&str; 5] = ["cantus", "altus", "quintus", "tenor", "bassus"];

/// The folder of the checkout.
fn checkout() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A folder named by a variable of the environment, or beside the checkout. Where it is missing,
/// the test says that it is skipped, or fails if `CARTELLA_REQUIRE_OPENDATA` is set.
fn shared(variable: &str, folder: &str) -> Option<PathBuf> {
    let beside = || checkout().join("../shared").join(folder);
    let place = env::var_os(variable).map_or_else(beside, PathBuf::from);
    if place.is_dir() {
        return Some(place);
    }
    let missing = format!("{} is not there; {variable} says where it is", place.display());
    let required = env::var_os("CARTELLA_REQUIRE_OPENDATA").is_some_and(|set| set == "1");
    assert!(!required, "{missing}");
    eprintln!("skipped: {missing}");
    None
}

/// The open data, if it is there.
pub fn opendata() -> Option<PathBuf> {
    shared("CARTELLA_OPENDATA", "opendata")
}

/// Whether a program of others is installed. Where it is missing, the test says that it is skipped.
///
/// # Panics
/// If it is missing although the open data is required.
pub fn is_installed(program: &str, package: &str) -> bool {
    let found = Command::new(program).arg("--version").output().is_ok();
    let required = env::var_os("CARTELLA_REQUIRE_OPENDATA").is_some_and(|set| set == "1");
    assert!(found || !required, "{program} is not installed (Debian: {package})");
    if !found {
        eprintln!("skipped: {program} is not installed (Debian: {package})");
    }
    found
}

/// The script that validates MusicXML files against the schema of the W3C, if it is there and
/// xmllint too.
pub fn schema_validator() -> Option<PathBuf> {
    let script = shared("CARTELLA_STANDARDS", "standards")?.join("musicxml-4.0/validate");
    is_installed("xmllint", "libxml2-utils").then_some(script)
}

/// A file of a madrigal.
///
/// # Panics
/// If it cannot be read.
pub fn madrigal(opendata: &Path, piece: &str, file: &str) -> String {
    let path = opendata.join("madrigals-1582").join(piece).join(file);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The names and texts of the duos, in order.
///
/// # Panics
/// If they cannot be read.
pub fn duos(opendata: &Path) -> Vec<(String, String)> {
    files(&opendata.join("mass-duos"), "musicxml")
}

/// The names and texts of the fixtures, in order.
///
/// # Panics
/// If they cannot be read.
pub fn fixtures() -> Vec<(String, String)> {
    files(&checkout().join("fixtures"), "parts")
}

/// The names and texts of the chapters of the demo book, in order.
///
/// # Panics
/// If they cannot be read.
pub fn demo_book() -> Vec<(String, String)> {
    files(&checkout().join("fixtures/book"), "parts")
}

fn files(folder: &Path, ending: &str) -> Vec<(String, String)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            (name, fs::read_to_string(path).unwrap())
        })
        .collect()
}
