//! Files made in bad faith cost little time, and memory of at most a few hundred times their size.
//! One test, so that nothing else in its process uses memory meanwhile.

use std::time::{Duration, Instant};

use exchange::{Fault, MeiPart, read_mei, read_musicxml, write_mxl};
use notation::{Spelling, parse, tidy};
use suite::{forget_memory, peak_memory};

const NOTE: &str =
    "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note>";

/// A partwise score.
fn score(parts: &[String]) -> String {
    let parts = parts.iter().enumerate();
    let parts = parts.map(|(place, content)| format!("<part id=\"P{place}\">{content}</part>"));
    format!("<score-partwise>{}</score-partwise>", parts.collect::<String>())
}

fn measure(content: &str) -> String {
    format!("<measure>{content}</measure>")
}

/// One part of one measure that holds a note and this.
fn beside(content: &str) -> String {
    score(&[measure(&format!("{NOTE}{content}"))])
}

fn bounded(name: &str, bytes: &[u8], read: impl Fn(&[u8])) {
    forget_memory();
    let begin = Instant::now();
    read(bytes);
    let time = begin.elapsed();
    // Far more than it takes, even unoptimized on a busy machine; what grows with the square of
    // the size would take hours.
    assert!(time < Duration::from_secs(100), "{name}: {time:?}");
    let Some(peak) = peak_memory() else { return };
    println!("{name}: {} KiB, {time:.1?}, {} MiB", bytes.len() >> 10, peak >> 20);
    // The fixed part is what 500 000 counted rests take.
    assert!(peak < (300 << 20) + 300 * bytes.len(), "{name}: {} MiB", peak >> 20);
}

fn musicxml(name: &str, xml: &str) {
    bounded(name, xml.as_bytes(), |bytes| {
        if let Ok(reading) = read_musicxml(name, bytes, None) {
            assert!(tidy(&reading.text, Spelling::default()).is_ok(), "{name}");
        }
    });
}

#[test]
fn time_and_memory_are_bounded() {
    musicxml("elements", &beside(&"<a/>".repeat(500_000)));
    musicxml("nesting", &beside(&("<note>".repeat(300_000) + &"</note>".repeat(300_000))));
    musicxml("notes", &score(&[measure(NOTE).repeat(20_000)]));
    musicxml("chord", &beside(&NOTE.replace("<note>", "<note><chord/>").repeat(40_000)));
    musicxml(
        "words under a note",
        &beside(&format!("<note>{}</note>", "<lyric/>".repeat(200_000))),
    );
    musicxml("words over a note", &{
        let words = "<words>x</words>".repeat(50_000);
        beside(&format!("<direction><direction-type>{words}</direction-type></direction>"))
    });
    musicxml(
        "silence",
        &score(&[
            measure(NOTE) + &measure("<forward><duration>19000</duration></forward>").repeat(900)
        ]),
    );
    musicxml("silent voices", &{
        let mut parts = vec![measure(&NOTE.replace('1', "64")).repeat(900)];
        parts.resize(64, measure(NOTE));
        score(&parts)
    });
    musicxml("voices", &{
        let voices = (0..50_000)
            .map(|voice| NOTE.replace("</note>", &format!("<voice>{voice}</voice></note>")));
        score(&[measure(&voices.collect::<String>())])
    });
    musicxml("staves", &{
        let clefs = (1..1000).map(|n| format!("<clef number=\"{n}\"><sign>G</sign></clef>"));
        let keys =
            [1, 0].map(|f| format!("<attributes><key><fifths>{f}</fifths></key></attributes>"));
        beside(&format!(
            "<attributes>{}</attributes>{}",
            clefs.collect::<String>(),
            keys.concat().repeat(20_000)
        ))
    });
    musicxml("rounded lengths", &{
        let three = "<type>half</type><time-modification><actual-notes>3</actual-notes>\
            <normal-notes>2</normal-notes></time-modification></note><backup><duration>1</duration></backup>";
        beside(&NOTE.replace("</note>", three).repeat(60))
    });
    musicxml("double bars", &{
        let bar_line = "<barline><bar-style>light-light</bar-style></barline>";
        let held = NOTE.replace('1', "19000");
        score(&[measure(&format!("{NOTE}{bar_line}")).repeat(10_000), measure(&held)])
    });
    musicxml("parts", &score(&vec![String::new(); 50_000]));
    musicxml("measures of a timewise score", &{
        let parts: String = (0..64).map(|part| format!("<part id=\"{part}\"/>")).collect();
        format!("<score-timewise>{}</score-timewise>", measure(&parts).repeat(1000))
    });
    musicxml("attributes", &beside(&format!("<a{}/>", " b=''".repeat(100_000))));
    musicxml(
        "entities",
        "<!DOCTYPE a [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]><a>&b;</a>",
    );

    let bomb = write_mxl(&" ".repeat(100 << 20)).unwrap();
    bounded("zip bomb", &bomb, |bytes| {
        let error = read_musicxml("bomb", bytes, None).unwrap_err();
        let fault = error.fault();
        assert!(matches!(fault, Some(Fault::Swells { .. })), "{fault:?}");
    });

    let mei = |layer: &str| {
        format!(
            "<mei><music><body><mdiv><score><section><measure><staff><layer>{layer}</layer></staff></measure></section></score></mdiv></body></music></mei>"
        )
    };
    let note = "<note pname=\"c\" oct=\"4\" dur=\"longa\"/>";
    for (name, text) in [
        ("notes of MEI", mei(&note.repeat(30_000))),
        (
            "nesting of MEI",
            mei(&("<supplied>".repeat(300_000) + note + &"</supplied>".repeat(300_000))),
        ),
        ("elements of MEI", mei(&(note.to_owned() + &"<a/>".repeat(300_000)))),
    ] {
        bounded(name, text.as_bytes(), |_| {
            let _ = read_mei(&[MeiPart { name: "cantus", text: &text }]);
        });
    }

    for (name, text) in [
        ("counted rests", format!("voice A clef C1\n sb A4 {}", "_*9999 ".repeat(20_000))),
        ("brackets", format!("voice A clef C1\n {}", "( ".repeat(300_000))),
        ("noise", "voice ".repeat(100_000)),
    ] {
        bounded(name, text.as_bytes(), |_| {
            let parsed = parse(&text);
            let _ =
                score::align(&parsed.piece, score::reckon(&parsed.piece), score::BarLength::Breve);
        });
    }
}
