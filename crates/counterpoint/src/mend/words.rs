//! Words for sentences.

/// A small number in words.
pub(super) fn number(count: i64) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
        "eleven", "twelve",
    ];
    usize::try_from(count)
        .ok()
        .and_then(|count| WORDS.get(count))
        .map_or_else(|| count.to_string(), |word| (*word).to_owned())
}
