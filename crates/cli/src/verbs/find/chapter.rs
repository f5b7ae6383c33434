//! What is found as the beginning of a chapter of a book: a heading, and each example with what was
//! found in it.

use std::fmt::Write as _;
use std::path::{Component, Path, PathBuf};

use super::Answer;
use crate::files;

/// The text, in the syntax of a book; files are named from where the text stands.
pub(super) fn text(asked: &str, answers: &[Answer], out: &Path) -> String {
    let mut text = format!("## {}\n", plain(asked));
    for answer in answers {
        let (file, row) = (from_folder(files::folder(out), &answer.path), &answer.row);
        let target = match &row.example {
            Some(example) => format!("{file}#{example}"),
            None => file,
        };
        let label = answer.label();
        let caption = plain(row.title.as_deref().unwrap_or(&label));
        let (first, last) = answer.hit.bars;
        let bars = if (first, last) == (1, row.bars) {
            String::new()
        } else {
            format!("{{bars={first}-{last}}}")
        };
        let _ = write!(text, "\n![{caption}]({}){bars}\n", destination(&target));
        if !answer.hit.why.is_empty() {
            let _ = write!(text, "\n{}.\n", plain(&answer.hit.why.join("; ")));
        }
    }
    text
}

/// Text in which nothing is a sign of the markup.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(
            c,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '&' | '!' | '{' | '}'
        ) {
            plain.push('\\');
        }
        plain.push(c);
    }
    plain
}

/// A file as the markup wants it: in angle brackets where it has blanks or brackets.
fn destination(target: &str) -> String {
    if target.contains([' ', '(', ')', '<', '>']) {
        let escaped: String = target
            .chars()
            .flat_map(|c| matches!(c, '<' | '>' | '\\').then_some('\\').into_iter().chain([c]))
            .collect();
        format!("<{escaped}>")
    } else {
        target.to_owned()
    }
}

/// The path of a file from a folder, with `/` on every system; as it is where there is none.
fn from_folder(folder: &Path, file: &Path) -> String {
    let whole = |path: &Path| std::fs::canonicalize(path).ok();
    let relative = whole(folder).zip(whole(file)).map(|(folder, file)| relative(&folder, &file));
    let path = relative.unwrap_or_else(|| file.to_owned());
    path.to_string_lossy().replace(std::path::MAIN_SEPARATOR, "/")
}

fn relative(folder: &Path, file: &Path) -> PathBuf {
    let (from, to): (Vec<Component<'_>>, Vec<Component<'_>>) =
        (folder.components().collect(), file.components().collect());
    let common = from.iter().zip(&to).take_while(|(one, other)| one == other).count();
    if common == 0 {
        return file.to_owned();
    }
    let up = from[common..].iter().map(|_| Component::ParentDir);
    up.chain(to[common..].iter().copied()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_are_named_from_the_folder_of_the_text() {
        let path = |folder, file| relative(Path::new(folder), Path::new(file));
        assert_eq!(path("/book", "/book/chapter.parts"), Path::new("chapter.parts"));
        assert_eq!(path("/book/new", "/book/old/1.parts"), Path::new("../old/1.parts"));
    }

    #[test]
    fn nothing_in_a_name_is_a_sign() {
        assert_eq!(plain("A *duo* [sic]"), "A \\*duo\\* \\[sic\\]");
        assert_eq!(destination("a duo (1).parts#2"), "<a duo (1).parts#2>");
    }
}
