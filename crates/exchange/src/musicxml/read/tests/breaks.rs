//! Where systems and pages begin.

use super::*;

/// A voice of four breves, with what is given before the second, the third and the fourth.
fn with_prints(prints: [&str; 3], meant: bool) -> String {
    let mut measures = vec!["A4 breve".to_owned()];
    measures.extend(prints.map(|print| format!("{print}{}", notes("A4 breve"))));
    let measures: Vec<&str> = measures.iter().map(String::as_str).collect();
    let supports = "<identification><encoding><supports element=\"print\" attribute=\"new-system\" \
                    type=\"yes\" value=\"yes\"/></encoding></identification>";
    let said = if meant { supports } else { "" };
    of_parts(&[&measures]).replace("<part-list>", &format!("{said}<part-list>"))
}

const SYSTEM: &str = "<print new-system=\"yes\"/>";
const PAGE: &str = "<print new-page=\"yes\"/>";

fn head(xml: &str) -> Vec<String> {
    let text = text(xml);
    text.lines().take_while(|line| !line.is_empty()).map(str::to_owned).collect()
}

#[test]
fn systems_and_pages_begin_where_the_file_says_so() {
    assert_eq!(head(&with_prints([SYSTEM, "", PAGE], true)), ["break   2", "page    4"]);
    assert_eq!(head(&with_prints(["", "<print new-system=\"no\"/>", ""], true)).len(), 2);
}

#[test]
fn what_once_fitted_on_some_paper_is_not_kept() {
    assert_eq!(head(&with_prints([SYSTEM, SYSTEM, PAGE], false))[0], "voice Voice1  clef G2");
}

#[test]
fn measures_need_not_be_the_bars_of_the_score() {
    let half = [SYSTEM, PAGE, ""].map(|print| print.to_owned() + &notes("A4 whole"));
    let measures = ["A4 whole", &half[0], &half[1], &half[2]];
    let xml = with_prints(["", "", ""], true);
    let said = &xml[xml.find("<identification>").unwrap()..xml.find("<part-list>").unwrap()];
    let xml = of_parts(&[&measures]).replace("<part-list>", &format!("{said}<part-list>"));
    let (text, remarks) = text_and_remarks(&xml);
    assert!(text.starts_with("page    2\n"), "{text}");
    assert_eq!(remarks, ["systems that begin inside a bar of a breve are not kept"]);
}
