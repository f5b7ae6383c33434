//! The verbs and their options.

use std::io::IsTerminal as _;
use std::path::PathBuf;

use cartella::{Direction, Interval};
use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::instrument::OnInstrument;
use crate::kind::Kind;
use crate::paper::{Filling, OnPaper};
use crate::passage::Passage;
use crate::sounding::Sounding;

/// Voices as printed in, keyboard score out.
///
/// A piece is typed once, voice by voice, as the source prints it; cartella counts the values,
/// lines the voices up, draws the bars and fits them on two staves, and says where something
/// cannot be right.
#[derive(Parser)]
#[command(
    name = "cartella",
    version,
    disable_help_subcommand = true,
    arg_required_else_help = true,
    args_conflicts_with_subcommands = true
)]
pub(crate) struct Arguments {
    /// Whether messages are coloured
    #[arg(
        long,
        global = true,
        value_enum,
        ignore_case = true,
        default_value = "auto",
        value_name = "WHEN"
    )]
    pub(crate) color: Color,
    /// Print the completions of a shell: bash, zsh, fish, elvish, powershell
    #[arg(long, value_enum, ignore_case = true, value_name = "SHELL")]
    pub(crate) completions: Option<clap_complete::Shell>,
    /// Print the manual page
    #[arg(long)]
    pub(crate) manual: bool,
    #[command(subcommand)]
    pub(crate) verb: Option<Verb>,
}

#[derive(Subcommand)]
pub(crate) enum Verb {
    /// Write a parts file to fill in
    New(New),
    /// Turn pictures of a source, encoded parts, or a score into a parts file
    Read(Read),
    /// Say everything that is wrong or doubtful
    Check(Check),
    /// Bring parts files into canonical form, in place
    Tidy(Tidy),
    /// Show the voices side by side on the minim grid
    Grid(Grid),
    /// Write the score
    Score(Box<Score>),
    /// Print each voice as its source does, to be proofed by eye
    Proof(Proof),
    /// Say where a slip most likely is, and what it most likely was
    Mend(Mend),
    /// Say at which intervals and delays a subject can be imitated closely
    Imitate(Imitate),
    /// Say where and how a second pair of voices can enter upon the end of a first
    Join(Join),
    /// Say what differs between two transcriptions
    Collate(Collate),
    /// Say what a piece does: subjects and entries, cadences, dissonances, mode
    Study(Study),
    /// Print the critical report: what is emended, supplied, or left to be decided
    Report(Report),
    /// List what every example of a collection does: subjects, imitations, cadences, faults
    Catalogue(Catalogue),
    /// Find the examples of a collection that have a subject, an imitation, a cadence, a topic
    Find(Box<Find>),
    /// Typeset a treatise from its text and examples, as PDF or as a web site
    Book(Treatise),
    /// Open the desk: a page in the browser on which pieces are typed, seen and heard
    Desk(Desk),
    /// Make practice sheets, with a second file of the answers
    Sheet(Sheet),
    /// Tell of an error, a warning, or a word of the parts file
    Explain(Explain),
}

#[derive(Args)]
pub(crate) struct New {
    /// The name of the piece; NAME.parts is written
    pub(crate) name: PathBuf,
    /// How many voices: as many as there are clefs, else 4
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=64))]
    pub(crate) voices: Option<u8>,
    /// Their clefs, top voice first, parted by commas: C1,C3,C4,F4
    #[arg(long, value_delimiter = ',', value_parser = clef)]
    pub(crate) clefs: Vec<cartella::Clef>,
    /// So many examples, numbered; what all have in common is said once, before the first
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1000))]
    pub(crate) examples: Option<u16>,
    /// The number of the first example
    #[arg(long, value_name = "NUMBER", requires = "examples", default_value_t = 1)]
    pub(crate) from: u32,
    /// Replace a file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
}

#[derive(Args)]
pub(crate) struct Desk {
    /// The folder whose pieces are opened; nothing outside it is read or written
    #[arg(default_value = ".", value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
    /// The port at which this machine, and no other, finds the page; 0 for any that is free. What is typed
    /// and not saved yet is kept in the browser by the port: keep to one
    #[arg(long, default_value_t = 15580)]
    pub(crate) port: u16,
    /// Show the address, and open no browser
    #[arg(long)]
    pub(crate) no_open: bool,
}

#[derive(Args)]
pub(crate) struct Read {
    /// Pictures of the printed voices (PNG, JPEG, PDF), as VOICE=FILE, a voice as often as it has files,
    /// or a file a voice, top voice first; Cantus+Tenor=FILE where voices follow one another on a page, in
    /// its order, or their lines take turns, Cantus:4+Tenor=FILE if the Cantus has four lines there, and
    /// Cantus,Tenor=FILE if they take turns for sure. MEI mensural parts, a file a voice, top voice first. Or one
    /// MusicXML score, plain or compressed
    #[arg(required = true, value_name = "IN")]
    pub(crate) inputs: Vec<PathBuf>,
    /// Learn how a print looks, and write its style. IN is pictures of the print, from which it learns by itself;
    /// and parts files with proofed lines that their heads find in pictures (lines with a doubt are not taken)
    #[arg(long)]
    pub(crate) learn: bool,
    /// Of so many steps each training is; there are three, and a fourth if ten lines are proofed
    #[arg(long, value_name = "COUNT", requires = "learn", default_value_t = 120,
          value_parser = clap::value_parser!(u16).range(1..=5000))]
    pub(crate) steps: u16,
    /// Read pictures by the style of their print, as --learn wrote it
    #[arg(long, value_name = "STYLE")]
    pub(crate) print_style: Option<PathBuf>,
    /// Which note of a MusicXML score stands for the minim; the half note, unless the file says
    /// otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "NOTE")]
    pub(crate) minim: Option<Minim>,
    /// The parts file to write, or the style; - is standard output
    #[arg(short, long, default_value = "-", value_name = "FILE")]
    pub(crate) output: PathBuf,
    /// Replace a file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
}

#[derive(Args)]
pub(crate) struct Treatise {
    /// The folder of the book, whose text is book.md in it; or the text itself
    pub(crate) folder: PathBuf,
    /// The PDF to write; - is standard output
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Option<PathBuf>,
    /// The folder for the web site, which works without a server; it is made if it is not there
    #[arg(long, value_name = "DIR")]
    pub(crate) site: Option<PathBuf>,
    /// Put the sound of each example into the site, made beforehand and compressed. Without it, the browser
    /// makes a plain tone
    #[arg(long, requires = "site")]
    pub(crate) sound: bool,
    /// The language of the book, by which words are divided and examples named; else the one that its title says,
    /// or English
    #[arg(long, value_enum, ignore_case = true)]
    pub(crate) lang: Option<Lang>,
    /// Make the book again whenever one of its files changes, until interrupted
    #[arg(long)]
    pub(crate) watch: bool,
}

/// The language of a book.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Lang {
    /// English
    En,
    /// Spanish
    Es,
    /// Italian
    It,
    /// German
    De,
    /// French
    Fr,
}

impl From<Lang> for book::Language {
    fn from(lang: Lang) -> book::Language {
        match lang {
            Lang::En => book::Language::English,
            Lang::Es => book::Language::Spanish,
            Lang::It => book::Language::Italian,
            Lang::De => book::Language::German,
            Lang::Fr => book::Language::French,
        }
    }
}

#[derive(Args)]
pub(crate) struct Check {
    /// Parts files, F.parts#NAME for one example; - is standard input, which --fix mends to standard
    /// output
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Mend what is mechanical, in place, where one reading alone is possible: a blank or comma that is
    /// missing, a value or word spelled otherwise (SB, minim, sbD4, Bflat, clef:), a dot after a value
    /// (mn. G), ¢ for C|, words not closed, clef C1 or sign C| without their word, music on the line of its voice, || that most voices have
    /// (E001 E002 E012 E015 E016 E017 E019 E023 W105). The music stays what it was read as
    #[arg(long)]
    pub(crate) fix: bool,
    /// With --fix, type also the octaves that are left out where the other voices and the line of the voice
    /// speak for the same one, and list them (E003)
    #[arg(long, requires = "fix")]
    pub(crate) octaves: bool,
    /// Say instead why notes and rests last as long as they do: the twelfth of a voice, Cantus:12; all
    /// that begin in a bar, Cantus:b12; what is typed at a line and column of the file, 12:5
    #[arg(long, value_name = "VOICE:NUMBER|VOICE:bBAR|LINE:COLUMN", value_parser = which, conflicts_with_all = ["fix", "format"])]
    pub(crate) why: Option<Which>,
    /// The bars against which the music is checked
    #[command(flatten)]
    pub(crate) bars: Bars,
    /// The widest span of a hand: 9 is a ninth
    #[arg(long, default_value_t = 9, value_parser = clap::value_parser!(u32).range(2..=15))]
    pub(crate) reach: u32,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
    /// Check again whenever a file changes, until interrupted
    #[arg(long, conflicts_with = "fix")]
    pub(crate) watch: bool,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
pub(crate) struct Tidy {
    /// Parts files, F.parts#NAME for one example; - is standard input, tidied to standard output
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Write nothing; say which files are not in canonical form
    #[arg(long)]
    pub(crate) check: bool,
    /// Turn positions into letters
    #[arg(long)]
    pub(crate) letters: bool,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
pub(crate) struct Grid {
    /// Parts files, F.parts#NAME for one example; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) bars: Bars,
    #[command(flatten)]
    pub(crate) passage: Passage,
    /// Columns of the table, where it is not the terminal's width
    #[arg(long, value_parser = clap::value_parser!(u16).range(20..))]
    pub(crate) width: Option<u16>,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
pub(crate) struct Score {
    /// Parts files, F.parts#NAME for one example; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// The score to write, of a kind by its ending (.musicxml or .xml, .mxl, .svg, .pdf, .png, .mid or .midi, .wav, .flac, .html); may be given
    /// several times; - is standard output. A PDF takes several files, and sets them one after
    /// another
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Vec<PathBuf>,
    /// The folder for the scores of many files or examples, each named after its parts file and
    /// example; it is made if it is not there
    #[arg(long, value_name = "DIR", conflicts_with = "output")]
    pub(crate) into: Option<PathBuf>,
    /// The kind of what goes into the folder, or to standard output; may be given several times
    #[arg(long = "as", value_enum, ignore_case = true, value_name = "KIND")]
    pub(crate) kind: Vec<Kind>,
    /// Two staves for two hands, or one for each voice
    #[arg(long, value_enum, ignore_case = true, default_value = "keyboard")]
    pub(crate) staves: Staves,
    #[command(flatten)]
    pub(crate) bars: Bars,
    #[command(flatten)]
    pub(crate) passage: Passage,
    /// These voices without their notes, separated by commas: an empty staff with its clef, on which one
    /// sees by its rests where it enters; nothing of it sounds
    #[arg(long, value_delimiter = ',', value_name = "VOICE", conflicts_with = "audit")]
    pub(crate) blank: Vec<String>,
    /// Original values, halved or quartered
    #[arg(long, value_enum, ignore_case = true, default_value = "1")]
    pub(crate) reduce: Reduce,
    /// Transpose the piece: 4 down, 5 down, 2 up
    #[arg(long, num_args = 2, value_names = ["INTERVAL", "DIRECTION"])]
    transpose: Vec<String>,
    /// The widest span of a hand: 9 is a ninth
    #[arg(long, default_value_t = 9, value_parser = clap::value_parser!(u32).range(2..=15))]
    pub(crate) reach: u32,
    /// What decides on the sides of stems where voices share a staff: what strikes together, by
    /// pitch, for playing; or the order of the voices, also where they cross, for study
    #[arg(long, value_enum, ignore_case = true, default_value = "pitch")]
    pub(crate) stems: Stems,
    /// Which rests are shown where voices share a staff: those that a player needs, or those of
    /// every voice, for study
    #[arg(long, value_enum, ignore_case = true, default_value = "needed")]
    pub(crate) rests: Rests,
    /// The clefs of two staves: those that fit, also two alike, or treble and bass throughout
    #[arg(long, value_enum, ignore_case = true, default_value = "fitting")]
    pub(crate) clefs: Clefs,
    #[command(flatten)]
    pub(crate) drawing: Drawing,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
    #[command(flatten)]
    pub(crate) sounding: Sounding,
    #[command(flatten)]
    pub(crate) instrument: OnInstrument,
    #[command(flatten)]
    pub(crate) filling: Filling,
    /// What an analysis says, as marks at the notes: in every picture, and as words in MusicXML;
    /// several are parted by commas. `slips` are the suggestions of `mend`, `study` the entries, cadences
    /// and untreated dissonances
    #[arg(long, value_enum, ignore_case = true, value_delimiter = ',', value_name = "WHAT")]
    pub(crate) show: Vec<Show>,
    /// Print, as JSON, what overlaps or is drawn wrong in the picture, and every head's place
    #[arg(long, conflicts_with = "into")]
    pub(crate) audit: bool,
    /// Print the critical report too
    #[arg(long, conflicts_with = "audit")]
    pub(crate) report: bool,
    /// Write again whenever a file changes, until interrupted
    #[arg(long)]
    pub(crate) watch: bool,
    #[command(flatten)]
    pub(crate) many: Many,
}

/// The clefs of a keyboard score.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Clefs {
    /// Under which a hand needs the fewest ledger lines, changing where that helps for long
    Fitting,
    /// Treble and bass
    Fixed,
}

/// What can be shown in a score.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Show {
    /// Where a slip most likely is, and what it most likely was
    Slips,
    /// Entries, cadences, untreated dissonances
    Study,
}

/// How a picture is drawn.
#[derive(Args, Clone, Copy)]
pub(crate) struct Drawing {
    /// The width of a picture of the whole piece in millimetres; 210 unless told otherwise
    #[arg(long, value_name = "MM", value_parser = clap::value_parser!(u16).range(60..=2000))]
    pub(crate) width: Option<u16>,
    /// The height of a staff in millimetres; 9 is large print
    #[arg(long, default_value_t = 6.0, value_name = "MM", value_parser = staff_height)]
    size: f64,
    /// Where plain bar lines are drawn
    #[arg(long, value_enum, ignore_case = true, default_value = "through")]
    barlines: BarLines,
    /// Where systems break: where the whole is spaced best, or with the source's lines
    #[arg(long, value_enum, ignore_case = true, default_value = "best")]
    breaks: Breaks,
}

impl Drawing {
    /// As the engraver takes it.
    fn look(self) -> cartella::Look {
        let usual = cartella::Look::default();
        cartella::Look {
            width: self.width.map_or(usual.width, |width| cartella::Mm(width.into())),
            staff: cartella::Mm(self.size),
            bar_lines: match self.barlines {
                BarLines::Through => cartella::BarLines::Through,
                BarLines::Between => cartella::BarLines::Between,
                BarLines::None => cartella::BarLines::None,
            },
            breaks: match self.breaks {
                Breaks::Best => cartella::Breaks::Optimal,
                Breaks::Source => cartella::Breaks::Source,
            },
            ..usual
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum BarLines {
    Through,
    Between,
    None,
}

#[derive(Clone, Copy, ValueEnum)]
enum Breaks {
    Best,
    Source,
}

/// How a proof sheet is written.
#[derive(Args)]
pub(crate) struct Proof {
    /// Parts files, F.parts#NAME for one example; - is standard input. With --strips alone, pictures of the
    /// source: PNG, JPEG, PDF
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// The sheet to write, of a kind by its ending (.pdf, .svg, .png); may be given several times; - is
    /// standard output. A PDF takes several files, and sets them one after another
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Vec<PathBuf>,
    /// The folder for the sheets of many files or examples, each named after its parts file and
    /// example; it is made if it is not there
    #[arg(long, value_name = "DIR", conflicts_with = "output")]
    pub(crate) into: Option<PathBuf>,
    /// The kind of what goes into the folder, or to standard output; may be given several times
    #[arg(long = "as", value_enum, ignore_case = true, value_name = "KIND")]
    pub(crate) kind: Vec<SheetKind>,
    #[command(flatten)]
    pub(crate) bars: Bars,
    #[command(flatten)]
    pub(crate) passage: Passage,
    /// These voices without their notes, separated by commas: empty staves with their clefs
    #[arg(long, value_delimiter = ',', value_name = "VOICE")]
    pub(crate) blank: Vec<String>,
    /// The clefs: those of the source; or treble, octave treble and bass, for who does not read the others
    /// yet
    #[arg(long, value_enum, ignore_case = true, default_value = "printed")]
    pub(crate) clefs: ProofClefs,
    /// The height of a staff in millimetres; less where a line of the source needs more room
    #[arg(long, default_value_t = 6.0, value_name = "MM", value_parser = staff_height)]
    size: f64,
    /// The width of a picture of the whole piece in millimetres; 210 unless told otherwise
    #[arg(long, value_name = "MM", value_parser = clap::value_parser!(u16).range(60..=2000))]
    pub(crate) width: Option<u16>,
    #[command(flatten)]
    pub(crate) paper: OnPaper,
    /// Print instead what each line of the source has: notes, rests, minims, its direct and the note that
    /// this announces
    #[arg(long, conflicts_with_all = ["output", "into", "audit", "Passage", "blank"])]
    pub(crate) tally: bool,
    /// The pictures of the source, of which each line's strip is printed above it: VOICE=FILE for each
    /// voice, several for a voice one after another; or a file of all voices; or a folder, whose files are named
    /// like the voices or stand in their order. Without it, those that the head names
    #[arg(long, num_args = 1.., value_name = "VOICE=FILE", conflicts_with = "tally")]
    pub(crate) facsimile: Vec<String>,
    /// Print instead what staves are found in pictures and where; with --facsimile, of which lines they are
    #[arg(long, conflicts_with_all = ["output", "into", "audit", "tally", "Passage", "blank"])]
    pub(crate) strips: bool,
    /// With --strips and --facsimile, write into the head of the parts file where its lines stand
    #[arg(long, requires_all = ["strips", "facsimile"])]
    pub(crate) write: bool,
    /// How to answer with --tally or --strips
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
    /// Print, as JSON, what overlaps or is missing on the sheet, and every head's place
    #[arg(long, conflicts_with = "into")]
    pub(crate) audit: bool,
    #[command(flatten)]
    pub(crate) many: Many,
}

/// The clefs of a proof sheet.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ProofClefs {
    /// As the source has them
    Printed,
    /// Treble, octave treble or bass for each voice
    Modern,
}

/// The kinds of a proof sheet.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SheetKind {
    Pdf,
    Svg,
    Png,
}

impl Proof {
    /// How it is drawn, whole or on paper.
    pub(crate) fn look(&self, on_pages: bool) -> cartella::Look {
        let usual = cartella::Look::default();
        let width = self.width.map_or(usual.width, |width| cartella::Mm(width.into()));
        let look = cartella::Look { width, staff: cartella::Mm(self.size), ..usual };
        self.paper.look(look, on_pages)
    }
}

fn staff_height(text: &str) -> Result<f64, String> {
    let [least, most] = cartella::Look::STAFF_RANGE;
    let height = text.parse().ok().filter(|height| (least.0..=most.0).contains(height));
    height.ok_or_else(|| format!("the height is from {} to {} millimetres", least.0, most.0))
}

impl Score {
    /// How a picture is drawn, whole or on paper.
    pub(crate) fn look(&self, on_pages: bool) -> cartella::Look {
        let look = self.filling.look(self.paper.look(self.drawing.look(), on_pages), on_pages);
        // A passage does not begin as the source does.
        cartella::Look { incipits: look.incipits && !self.passage.has_bars(), ..look }
    }

    /// The interval of `--transpose`.
    pub(crate) fn interval(&self) -> Result<Option<Interval>, String> {
        let [number, direction] = self.transpose.as_slice() else { return Ok(None) };
        let direction = match direction.to_ascii_lowercase().as_str() {
            "up" => Some(Direction::Up),
            "down" => Some(Direction::Down),
            _ => None,
        };
        let interval = number
            .parse()
            .ok()
            .zip(direction)
            .and_then(|(number, direction)| Interval::of_number(number, direction));
        match interval {
            Some(interval) => Ok(Some(interval)),
            None => Err(format!(
                "`--transpose {number} {}` is not an interval: type a number from 1 to 15, and up or \
                 down, as in `--transpose 4 down`",
                self.transpose[1]
            )),
        }
    }
}

#[derive(Args)]
pub(crate) struct Mend {
    /// Parts files, F.parts#NAME for one example; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// Type what the suggestion of that rank reads, in place: the slip was the typist's
    #[arg(long, value_name = "RANK", conflicts_with = "emend")]
    pub(crate) apply: Option<usize>,
    /// Write the suggestion of that rank as an emendation, in place: the source was seen to be
    /// wrong
    #[arg(long, value_name = "RANK")]
    pub(crate) emend: Option<usize>,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text", conflicts_with_all = ["apply", "emend"])]
    pub(crate) format: Format,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
#[command(group(clap::ArgGroup::new("what").required(true).args(["subject", "from", "moves", "patterns", "ask"])))]
pub(crate) struct Imitate {
    /// The subject, typed as a line of music: "mn D4 E F sb G"; a clef, a signature or a sign may stand
    /// first. Without a clef, a bare letter is its place within a third of the note before
    #[arg(value_name = "SUBJECT")]
    pub(crate) subject: Option<String>,
    /// The subject stands in a parts file: which notes and rests of which voice, first to last
    #[arg(long, num_args = 3, value_names = ["FILE", "VOICE", "FIRST-LAST"])]
    pub(crate) from: Vec<String>,
    /// Look also at the ninth; else intervals go to the octave
    #[arg(long)]
    pub(crate) all: bool,
    /// Let two voices go from one perfect consonance to another of its kind in contrary motion: composers
    /// took this licence at times, but a study calls it a fault
    #[arg(long, conflicts_with_all = ["moves", "patterns", "ask"])]
    pub(crate) licences: bool,
    /// How many voices: in three and four, imitations that work are listed
    #[arg(long = "in", default_value_t = 2, value_name = "VOICES", value_parser = clap::value_parser!(u8).range(2..=4))]
    pub(crate) voices: u8,
    /// Put each beside its inversion, about D, or about G where B is flat
    #[arg(long, conflicts_with_all = ["choose", "moves", "patterns", "ask"])]
    pub(crate) mirror: bool,
    /// Write out one imitation, "5 above after 1": the leader goes on until the follower has ended. The
    /// delay is in minims, or a value: "5 above after sb". Several followers are parted by commas, each
    /// counted from the leader
    #[arg(long, value_name = "ENTRY", conflicts_with_all = ["moves", "patterns", "ask", "format"])]
    pub(crate) choose: Option<String>,
    /// With --choose, end with a clausula vera
    #[arg(long, requires = "choose")]
    pub(crate) cadence: bool,
    /// Say instead which melodic moves an interval and a delay allow: "5 above after 1", of notes of a
    /// minim
    #[arg(long, value_name = "ENTRY", conflicts_with_all = ["subject", "from", "patterns", "ask"])]
    pub(crate) moves: Option<String>,
    /// Say instead at which delays the plain stepwise subjects work, at every interval; with -o, draw
    /// them as a sheet
    #[arg(long, conflicts_with_all = ["subject", "from", "ask"])]
    pub(crate) patterns: bool,
    /// Make a sheet of so many questions, rising in difficulty: at which delay, or by which follower, a
    /// subject can be imitated; the answers go into a second file
    #[arg(long, value_name = "COUNT", requires = "output", conflicts_with_all = ["subject", "from", "format"], value_parser = clap::value_parser!(u8).range(1..=40))]
    pub(crate) ask: Option<u8>,
    /// What to write: a parts file for --choose, a .pdf or .parts for --patterns and --ask; - is standard
    /// output
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// The kind of what goes to standard output: parts, the only one
    #[arg(long = "as", value_enum, ignore_case = true, value_name = "KIND", requires = "output")]
    pub(crate) kind: Option<PartsKind>,
    /// Replace a file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Args)]
#[command(group(clap::ArgGroup::new("pairs").required(true).args(["first", "patterns"])))]
pub(crate) struct Join {
    /// The first pair: a parts file with two voices; FILE#NAME is one of its examples
    #[arg(value_name = "A", requires = "second")]
    pub(crate) first: Option<PathBuf>,
    /// The pair that enters; it may be the same file
    #[arg(value_name = "B")]
    pub(crate) second: Option<PathBuf>,
    /// Try every degree; else the second pair is moved by octaves, fifths and fourths
    #[arg(long, conflicts_with = "patterns")]
    pub(crate) all: bool,
    /// Where the second pair cannot enter, the first may go on for so many minims before its new last
    /// note; 0: it may not
    #[arg(long, default_value_t = 4, value_name = "MINIMS", conflicts_with = "patterns", value_parser = clap::value_parser!(u8).range(0..=8))]
    pub(crate) extend: u8,
    /// Only entries at a cadence of this kind, the interval of its two lowest voices; the first pair goes
    /// on to one if it has none
    #[arg(long, value_enum, ignore_case = true, value_name = "KIND", conflicts_with = "patterns")]
    pub(crate) cadence: Option<CadenceName>,
    /// Only entries above the first pair
    #[arg(long, conflicts_with_all = ["below", "patterns"])]
    pub(crate) above: bool,
    /// Only entries below the first pair
    #[arg(long, conflicts_with = "patterns")]
    pub(crate) below: bool,
    /// The widest span of a hand, as its number
    #[arg(long, default_value_t = 9, value_name = "INTERVAL", conflicts_with = "patterns", value_parser = clap::value_parser!(u8).range(5..=16))]
    pub(crate) reach: u8,
    /// Write out this one of the list; the first unless told
    #[arg(long, default_value_t = 1, value_name = "RANK", requires = "output", conflicts_with_all = ["patterns", "format"], value_parser = clap::value_parser!(u8).range(1..=20))]
    pub(crate) choose: u8,
    /// Say instead how a plain stepwise pair is joined with itself, above and below, at each place, by
    /// each kind of cadence; with -o, draw all as a sheet
    #[arg(long, conflicts_with_all = ["first", "second"])]
    pub(crate) patterns: bool,
    /// What to write: the four voices as a parts file; a .pdf or .parts for --patterns; - is standard
    /// output
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// The kind of what goes to standard output: parts, the only one
    #[arg(long = "as", value_enum, ignore_case = true, value_name = "KIND", requires = "output")]
    pub(crate) kind: Option<PartsKind>,
    /// Replace a file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
}

/// A kind of cadence.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum CadenceName {
    /// Cantizans below, tenorizans above
    Second,
    /// Tenorizans below, cantizans above
    Seventh,
    /// Bassizans below, cantizans above
    Fourth,
    /// Bassizans below, tenorizans above
    Fifth,
}

/// The kind of a written imitation.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PartsKind {
    Parts,
}

#[derive(Args)]
pub(crate) struct Collate {
    /// A parts file, or a score in MusicXML (.musicxml .xml .mxl); - is a parts file on standard
    /// input
    #[arg(value_name = "A")]
    pub(crate) left: PathBuf,
    /// Another transcription of the same
    #[arg(value_name = "B")]
    pub(crate) right: PathBuf,
    /// Write A with what differs as variants to decide, <? A | B >; - is standard output
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Replace a file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
    #[command(flatten)]
    pub(crate) bars: Bars,
    /// Which note of a MusicXML score stands for the minim; the half note, unless the file says
    /// otherwise
    #[arg(long, value_enum, ignore_case = true, value_name = "NOTE")]
    pub(crate) minim: Option<Minim>,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Args)]
pub(crate) struct Study {
    /// Parts files, F.parts#NAME for one example; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// By which rules the counterpoint is judged
    #[arg(long, value_enum, ignore_case = true, default_value = "1560")]
    pub(crate) rules: Rules,
    /// List instead the signs that singers would have added, with the reason of each: the certain ones,
    /// then the possible ones
    #[arg(long)]
    pub(crate) accidentals: bool,
    /// Parts of the page that are left out, parted by commas
    #[arg(long, value_enum, ignore_case = true, value_delimiter = ',', value_name = "PART")]
    pub(crate) without: Vec<Without>,
    /// The page drawn (.pdf, .svg, .png), with the plan of the piece, its first imitation and its
    /// cadences; or the piece with its certain signs, [#] and [b] (.parts); may be given several times;
    /// - is a parts file on standard output
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Vec<PathBuf>,
    /// Replace a parts file that is there already
    #[arg(long)]
    pub(crate) replace: bool,
    /// Draw the page on paper of 8½ by 11 inches, not on A4
    #[arg(long)]
    pub(crate) letter: bool,
    #[command(flatten)]
    pub(crate) bars: Bars,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
pub(crate) struct Catalogue {
    #[command(flatten)]
    pub(crate) collection: Collection,
    /// Of what there is a row each
    #[arg(long, value_enum, ignore_case = true, default_value = "examples")]
    pub(crate) rows: Rows,
    /// The table to write, by its ending: .csv, or .jsonl with an object a line; may be given several
    /// times
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Vec<PathBuf>,
    /// How to answer, where nothing is written
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: TableFormat,
}

/// A collection of examples.
#[derive(Args)]
pub(crate) struct Collection {
    /// Folders with parts files, in folders within them too; or parts files
    #[arg(required = true, value_name = "FOLDER")]
    pub(crate) folders: Vec<PathBuf>,
    /// Where what was studied is kept for the next time; usually in the user's cache
    #[arg(long, value_name = "DIR")]
    pub(crate) cache: Option<PathBuf>,
    /// Study everything anew, and keep nothing
    #[arg(long, conflicts_with = "cache")]
    pub(crate) no_cache: bool,
    #[command(flatten)]
    pub(crate) many: Many,
}

/// Of what a table has rows.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Rows {
    /// A row an example
    Examples,
    /// A row an entry of a subject, or a voice that follows in a canon
    Entries,
    /// A row a cadence
    Cadences,
}

/// The formats of a table.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum TableFormat {
    /// For people
    Text,
    /// An object a line
    Json,
    /// Comma-separated values
    Csv,
}

#[derive(Args)]
pub(crate) struct Find {
    #[command(flatten)]
    pub(crate) collection: Collection,
    /// A subject, typed as a line of music: "sb D4 E F G". It is found by its steps: on any step, in
    /// other values, turned over, or with notes between; what is most like it comes first
    #[arg(long, value_name = "MUSIC")]
    pub(crate) subject: Option<String>,
    /// The subject neither turned over nor with notes between
    #[arg(long, requires = "subject")]
    pub(crate) direct: bool,
    /// How a voice follows another: "5 above after 1"; or "5 above", or "after sb". With --subject,
    /// it follows with that
    #[arg(long, value_name = "ENTRY")]
    pub(crate) imitation: Option<catalogue::Imitated>,
    /// A cadence: its goal, its kind, or what it is: "G", "D seventh", "Phrygian", "evaded"; may be given
    /// several times
    #[arg(long, value_name = "CADENCE")]
    pub(crate) cadence: Vec<catalogue::Goal>,
    /// The same, of a cadence upon which a voice enters with a subject
    #[arg(long, value_name = "CADENCE")]
    pub(crate) upon: Vec<catalogue::Goal>,
    /// A keyword that the head item `topic` has; may be given several times
    #[arg(long, value_name = "WORD")]
    pub(crate) topic: Vec<String>,
    /// So many voices
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u8).range(1..=64))]
    pub(crate) voices: Option<u8>,
    /// The mode that is proposed for it
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u8).range(1..=12))]
    pub(crate) mode: Option<u8>,
    /// High clefs, or low ones
    #[arg(long, value_enum, ignore_case = true, value_name = "CLEFS")]
    pub(crate) clefs: Option<Cleffing>,
    /// What is found, by the ending: .pdf, a sheet with the music of each place; .md, the beginning of a
    /// chapter; may be given several times
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: Vec<PathBuf>,
    /// Replace a chapter that is there already
    #[arg(long)]
    pub(crate) replace: bool,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: Format,
}

#[derive(Args)]
pub(crate) struct Sheet {
    /// Parts files, F.parts#NAME for one example; several make one set
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    /// The sheets, a .pdf; the answers go beside it, into OUT-answers.pdf
    #[arg(short, long, value_name = "OUT")]
    pub(crate) output: PathBuf,
    /// What is to be done
    #[arg(long, value_enum, ignore_case = true, default_value = "follower")]
    pub(crate) task: Task,
    /// How hard it is, for `follower` and `entry`: 1, the interval and the first note or the delay are given; 2, the interval
    /// alone; 3, neither
    #[arg(long, value_enum, default_value = "1")]
    pub(crate) level: Level,
    /// In which language the sheet says what is to be done
    #[arg(long, value_enum, ignore_case = true, default_value = "en")]
    pub(crate) lang: Language,
    /// Large print
    #[arg(long)]
    pub(crate) large: bool,
    /// The compass of the instrument: C2-C6
    #[arg(long, value_name = "KEYS", value_parser = crate::compass::parse)]
    pub(crate) compass: Option<cartella::Compass>,
    /// Its lowest octave is short: four keys are not there
    #[arg(long)]
    pub(crate) short_octave: bool,
    /// What is done with notes that it has not
    #[arg(long, value_enum, ignore_case = true, default_value = "ring")]
    pub(crate) outside: crate::compass::Outside,
    /// Paper of 8½ by 11 inches, not A4
    #[arg(long)]
    pub(crate) letter: bool,
    /// Replace sheets that are there already
    #[arg(long)]
    pub(crate) replace: bool,
}

impl Sheet {
    pub(crate) fn paper(&self) -> cartella::Paper {
        if self.letter { cartella::Paper::LETTER } else { cartella::Paper::A4 }
    }
}

/// What is to be done on a practice sheet.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Task {
    /// Write or play the voice that follows another
    Follower,
    /// Find when a voice can enter with the subject, of which nothing else is given
    Entry,
    /// Go on, once both voices have had the subject
    Continue,
    /// Put the other voices over the lowest one
    Bass,
    /// The same, with the cadences given
    Cadences,
    /// Play from the separate voices, in their own clefs
    Voices,
    /// Play in the usual transpositions
    Keys,
}

/// How hard a practice sheet is.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Level {
    #[value(name = "1")]
    One,
    #[value(name = "2")]
    Two,
    #[value(name = "3")]
    Three,
}

/// The languages of practice sheets.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Language {
    /// English
    En,
    /// Spanish
    Es,
    /// Italian
    It,
    /// German
    De,
    /// French
    Fr,
}

/// A combination of clefs.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Cleffing {
    High,
    Low,
}

/// By which rules counterpoint is judged.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Rules {
    /// About 1500
    #[value(name = "1500")]
    About1500,
    /// About 1560
    #[value(name = "1560")]
    About1560,
    /// About 1560, on the keyboard
    Keyboard,
    /// The strict species of the school books: each voice by its own, which its values against the
    /// cantus firmus tell
    Species,
}

/// A part of the page that may be left out.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Without {
    Subjects,
    Entries,
    Cadences,
    Texture,
    Dissonance,
    Faults,
    Practise,
    Uncertain,
    Plan,
    Reduction,
    Cards,
}

#[derive(Args)]
pub(crate) struct Report {
    /// Parts files, F.parts#NAME for one example; - is standard input
    #[arg(required = true, value_name = "FILE")]
    pub(crate) files: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) bars: Bars,
    /// How to answer
    #[arg(long, value_enum, ignore_case = true, default_value = "text")]
    pub(crate) format: ReportFormat,
    #[command(flatten)]
    pub(crate) many: Many,
}

#[derive(Args)]
pub(crate) struct Explain {
    /// A code such as E003, or a word or mark of the parts file: sb, clef, ligature, "<"; all are listed
    /// where none is given
    #[arg(value_name = "CODE|WORD")]
    pub(crate) what: Option<String>,
}

#[derive(Args, Clone, Copy)]
pub(crate) struct Many {
    /// How many files are worked on at once; all cores unless told otherwise
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) jobs: Option<u16>,
}

#[derive(Args, Clone, Copy)]
pub(crate) struct Bars {
    /// How long a bar is: the breve or the semibreve of the sign that most voices have
    #[arg(long, value_enum, ignore_case = true, default_value = "breve")]
    pub(crate) bar: Bar,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Bar {
    Breve,
    Semibreve,
}

impl From<Bar> for cartella::BarLength {
    fn from(bar: Bar) -> cartella::BarLength {
        match bar {
            Bar::Breve => cartella::BarLength::Breve,
            Bar::Semibreve => cartella::BarLength::Semibreve,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Staves {
    Keyboard,
    Open,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Stems {
    Pitch,
    Voice,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Rests {
    Needed,
    All,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Reduce {
    #[value(name = "1")]
    Original,
    #[value(name = "2")]
    Halved,
    #[value(name = "4")]
    Quartered,
}

/// Which modern note stands for a minim in a score that is read.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Minim {
    Half,
    Quarter,
}

impl From<Minim> for cartella::Minim {
    fn from(minim: Minim) -> cartella::Minim {
        match minim {
            Minim::Half => cartella::Minim::Half,
            Minim::Quarter => cartella::Minim::Quarter,
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    Text,
    Json,
}

/// The formats of a critical report.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ReportFormat {
    Text,
    Csv,
    Json,
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Color {
    Auto,
    Always,
    Never,
}

impl Color {
    /// Whether messages are coloured in this run: the option, else `NO_COLOR`, else whether a
    /// person looks at a terminal.
    pub(crate) fn resolve(self) -> bool {
        match self {
            Color::Always => true,
            Color::Never => false,
            Color::Auto => {
                let asked_not_to = std::env::var_os("NO_COLOR").is_some_and(|set| !set.is_empty());
                !asked_not_to && std::io::stdout().is_terminal() && std::io::stderr().is_terminal()
            }
        }
    }
}

/// The notes and rests that are asked about.
#[derive(Clone)]
pub(crate) enum Which {
    /// A voice and the number of one of its events.
    Number(String, u32),
    /// A voice and a bar.
    Bar(String, u32),
    /// A line and a column of the file, both from 1.
    Place(u32, u32),
}

fn which(text: &str) -> Result<Which, String> {
    let parts = text.rsplit_once(':').filter(|(voice, _)| !voice.is_empty());
    let found = parts.and_then(|(voice, place)| {
        if let Some(bar) = place.strip_prefix(['b', 'B']) {
            return Some(Which::Bar(voice.to_owned(), bar.parse().ok()?));
        }
        let number = place.parse().ok()?;
        Some(match voice.parse() {
            Ok(line) => Which::Place(line, number),
            Err(_) => Which::Number(voice.to_owned(), number),
        })
    });
    found.ok_or_else(|| {
        format!(
            "`{text}` is not a note or rest: type the voice and the number, Cantus:12; or a bar, \
             Cantus:b12; or a line and column of the file, 12:5"
        )
    })
}

fn clef(text: &str) -> Result<cartella::Clef, String> {
    cartella::Clef::parse(text)
        .ok_or_else(|| format!("{text} is not a clef: type its letter and line, C1 C3 C4 F4 G2"))
}
