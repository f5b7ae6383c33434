//! What the command says of itself: completions and a manual page, from its own definitions.

use clap::CommandFactory as _;
use clap_complete::Shell;

use crate::Outcome;
use crate::arguments::Arguments;
use crate::files::Failure;
use crate::streams;

pub(crate) fn run(completions: Option<Shell>, manual: bool) -> Result<Outcome, Failure> {
    let mut text = Vec::new();
    if let Some(shell) = completions {
        clap_complete::generate(shell, &mut Arguments::command(), "cartella", &mut text);
    }
    if manual {
        let page = clap_mangen::Man::new(Arguments::command());
        page.render(&mut text).map_err(|error| Failure::Said(error.to_string()))?;
        for verb in Arguments::command().get_subcommands() {
            let page = clap_mangen::Man::new(verb.clone().bin_name(format!("cartella {verb}")));
            page.render_synopsis_section(&mut text)
                .and_then(|()| page.render_description_section(&mut text))
                .and_then(|()| page.render_options_section(&mut text))
                .map_err(|error| Failure::Said(error.to_string()))?;
        }
    }
    streams::output(&text)?;
    Ok(Outcome::Done)
}
