//! The words that a book has beside its author's, in the languages in which they are known.

/// The language of a book.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
#[allow(missing_docs)]
pub enum Language {
    #[default]
    English,
    Spanish,
    Italian,
    German,
    French,
}

/// The words of a book in a language.
pub(crate) struct Words {
    pub(crate) contents: &'static str,
    pub(crate) preface: &'static str,
    pub(crate) example: &'static str,
    pub(crate) examples: &'static str,
    pub(crate) chapter: &'static str,
    pub(crate) page: &'static str,
    pub(crate) source: &'static str,
    pub(crate) folio: &'static str,
    pub(crate) critical: &'static str,
    pub(crate) notes: &'static str,
    pub(crate) search: &'static str,
    pub(crate) nothing_found: &'static str,
    pub(crate) copy: &'static str,
    pub(crate) facsimile: &'static str,
    pub(crate) play: &'static str,
    pub(crate) stop: &'static str,
    pub(crate) parts: &'static str,
    pub(crate) sound: &'static str,
    pub(crate) not_drawn: &'static str,
    pub(crate) previous: &'static str,
    pub(crate) next: &'static str,
}

impl Language {
    /// All of them.
    pub const ALL: [Language; 5] = [
        Language::English,
        Language::Spanish,
        Language::Italian,
        Language::German,
        Language::French,
    ];

    /// Its code (ISO 639-1).
    pub fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
            Language::Italian => "it",
            Language::German => "de",
            Language::French => "fr",
        }
    }

    /// The language of a code.
    pub fn from_code(code: &str) -> Option<Language> {
        Language::ALL.into_iter().find(|language| language.code() == code)
    }

    /// How its words are divided.
    pub(crate) fn syllables(self) -> hypher::Lang {
        match self {
            Language::English => hypher::Lang::English,
            Language::Spanish => hypher::Lang::Spanish,
            Language::Italian => hypher::Lang::Italian,
            Language::German => hypher::Lang::German,
            Language::French => hypher::Lang::French,
        }
    }

    pub(crate) fn words(self) -> &'static Words {
        match self {
            Language::English => &ENGLISH,
            Language::Spanish => &SPANISH,
            Language::Italian => &ITALIAN,
            Language::German => &GERMAN,
            Language::French => &FRENCH,
        }
    }
}

static ENGLISH: Words = Words {
    contents: "Contents",
    preface: "Preface",
    example: "Example",
    examples: "Index of examples",
    chapter: "Chapter",
    page: "page",
    source: "in the source",
    folio: "fol.",
    critical: "Critical notes",
    notes: "Notes",
    search: "Search",
    nothing_found: "Nothing found",
    copy: "As printed",
    facsimile: "Facsimile",
    play: "Play",
    stop: "Stop",
    parts: "Parts file",
    sound: "Sound",
    not_drawn: "This example has errors and cannot be laid out.",
    previous: "Back",
    next: "Next",
};

static SPANISH: Words = Words {
    contents: "Índice",
    preface: "Prólogo",
    example: "Ejemplo",
    examples: "Índice de ejemplos",
    chapter: "Capítulo",
    page: "página",
    source: "en la fuente",
    folio: "fol.",
    critical: "Notas críticas",
    notes: "Notas",
    search: "Buscar",
    nothing_found: "No se ha encontrado nada",
    copy: "Como está impreso",
    facsimile: "Facsímil",
    play: "Tocar",
    stop: "Parar",
    parts: "Archivo de partes",
    sound: "Sonido",
    not_drawn: "Este ejemplo tiene errores y no se puede componer.",
    previous: "Anterior",
    next: "Siguiente",
};

static ITALIAN: Words = Words {
    contents: "Indice",
    preface: "Prefazione",
    example: "Esempio",
    examples: "Indice degli esempi",
    chapter: "Capitolo",
    page: "pagina",
    source: "nella fonte",
    folio: "c.",
    critical: "Note critiche",
    notes: "Note",
    search: "Cerca",
    nothing_found: "Nessun risultato",
    copy: "Come stampato",
    facsimile: "Facsimile",
    play: "Suona",
    stop: "Ferma",
    parts: "File delle parti",
    sound: "Suono",
    not_drawn: "Questo esempio contiene errori e non può essere composto.",
    previous: "Precedente",
    next: "Successivo",
};

static GERMAN: Words = Words {
    contents: "Inhalt",
    preface: "Vorwort",
    example: "Beispiel",
    examples: "Verzeichnis der Beispiele",
    chapter: "Kapitel",
    page: "Seite",
    source: "in der Quelle",
    folio: "fol.",
    critical: "Kritische Anmerkungen",
    notes: "Anmerkungen",
    search: "Suchen",
    nothing_found: "Nichts gefunden",
    copy: "Wie gedruckt",
    facsimile: "Faksimile",
    play: "Spielen",
    stop: "Anhalten",
    parts: "Stimmendatei",
    sound: "Klang",
    not_drawn: "Dieses Beispiel hat Fehler und kann nicht gesetzt werden.",
    previous: "Zurück",
    next: "Weiter",
};

static FRENCH: Words = Words {
    contents: "Table des matières",
    preface: "Préface",
    example: "Exemple",
    examples: "Index des exemples",
    chapter: "Chapitre",
    page: "page",
    source: "dans la source",
    folio: "fol.",
    critical: "Notes critiques",
    notes: "Notes",
    search: "Chercher",
    nothing_found: "Rien trouvé",
    copy: "Comme imprimé",
    facsimile: "Fac-similé",
    play: "Jouer",
    stop: "Arrêter",
    parts: "Fichier des parties",
    sound: "Son",
    not_drawn: "Cet exemple contient des erreurs et ne peut être composé.",
    previous: "Précédent",
    next: "Suivant",
};
