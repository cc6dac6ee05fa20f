//! `couchside grammar`: the vocabulary, for the people who use it, extend it or take it elsewhere.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use clap::{Args, Subcommand};

use super::draw::Draw;
use super::output;
use crate::error::{Error, Result};
use crate::grammar::check::check;
use crate::grammar::export::{jsgf, srgs};
use crate::grammar::own_words::WordsError;
use crate::grammar::{Grammar, Source, guide, own_words, size};
use crate::pipeline::WayIn;
use crate::record;
use crate::settings::Settings;

#[derive(Subcommand)]
pub enum GrammarCommand {
    /// Prints what can be said, on a page to keep in sight
    Say {
        /// The joint; without it, what holds for all joints
        joint: Vec<String>,
    },
    /// Shows your own words and where they are kept
    Words,
    /// Checks the vocabulary and your own words, or a folder of grammar files
    Check {
        /// The folder
        folder: Option<PathBuf>,
    },
    /// Prints the vocabulary in a form that other recognisers read
    Export(Export),
    /// Prints how large the vocabulary is
    Size,
    /// Draws random dictation, to measure recognisers with
    Draw(Draw),
}

#[derive(Args)]
#[group(required = true, multiple = false)]
pub struct Export {
    /// Speech Recognition Grammar Specification 1.0, XML
    #[arg(long)]
    srgs: bool,
    /// JSpeech Grammar Format 1.0
    #[arg(long)]
    jsgf: bool,
}

/// The grammar that commands listen and read with: the program's words and the therapist's own.
pub(super) fn in_use() -> Result<Arc<Grammar>> {
    load(&source()?).map(Arc::new)
}

/// The same, and what the therapist says before dictation, if that is to let it in.
pub(super) fn for_listening(settings: &Settings) -> Result<Arc<Grammar>> {
    let source = source()?;
    let grammar = load(&source)?;
    if settings.way_in != WayIn::Cue {
        return Ok(Arc::new(grammar));
    }
    let Some(cue) = &settings.cue else {
        return Err(Error::Usage(NO_CUE.into()));
    };
    grammar
        .may_be_cue(cue)
        .map_err(|why| Error::Usage(format!("{why}. To choose another: couchside settings cue WORD")))?;
    load(&source.with_cue(cue)).map(Arc::new)
}

/// What is wrong where a cue lets dictation in and there is none.
const NO_CUE: &str = "your settings let dictation in by a cue, and there is none. Choose a word that you never say otherwise: \
                      couchside settings cue WORD";

fn load(source: &Source) -> Result<Grammar> {
    Grammar::load(source).map_err(|fault| own_words::explain(source, fault).into())
}

fn source() -> Result<Source> {
    match record::home() {
        Ok(home) => Ok(own_words::source(&home)?),
        // Without a folder for data there is nowhere to keep words of one's own.
        Err(_) => Ok(Source::carried()),
    }
}

/// Runs `couchside grammar …`.
pub fn run(command: GrammarCommand) -> Result<()> {
    match command {
        GrammarCommand::Say { joint } => say(&joint.join(" ")),
        GrammarCommand::Words => words(),
        GrammarCommand::Check { folder } => check_all(folder),
        GrammarCommand::Export(form) => {
            let grammar = in_use()?;
            output(&if form.srgs { srgs(&grammar) } else { jsgf(&grammar) })
        }
        GrammarCommand::Size => print_size(),
        GrammarCommand::Draw(draw) => draw.run(in_use()?),
    }
}

fn say(joint: &str) -> Result<()> {
    let source = source()?;
    let grammar = Arc::new(load(&source)?);
    let asked = (!joint.is_empty()).then_some(joint);
    let page = guide::page(&source, &grammar, asked).map_err(|fault| own_words::explain(&source, fault))?;
    let unknown = || {
        Error::Usage(format!(
            "there is no joint `{joint}`; these are known: {}",
            guide::joint_names(&grammar)
        ))
    };
    output(&page.ok_or_else(unknown)?)
}

fn words() -> Result<()> {
    let home = record::home()?;
    let place = own_words::place(&home);
    let place = place.display();
    let how = guide::own_words(&Source::carried()).map_err(|fault| WordsError::Carried(Box::new(fault)))?;
    let Some(text) = own_words::read(&home)? else {
        return output(&format!(
            "You have no words of your own yet. To add some, make the file\n    {place}\n\n{how}"
        ));
    };
    // A slip is said before anything is listed.
    let source = source()?;
    load(&source)?;
    let own = own_words::parse(&text, source.shown(own_words::FILE))
        .map_err(|fault| own_words::explain(&source, fault))?;
    if own.add.is_empty() {
        return output(&format!(
            "There are no words in the file of your own words\n    {place}\n\n{how}"
        ));
    }
    let mut out = format!("Your own words are in\n    {place}\n\n");
    for addition in &own.add {
        let said: Vec<&str> = addition
            .wordings()
            .iter()
            .map(|said| said.as_ref().as_str())
            .collect();
        let of = addition
            .of
            .as_ref()
            .map_or(String::new(), |of| format!(" ({})", of.as_ref()));
        out += &format!(
            "\"{}\" means {}{of}\n",
            said.join("\", \""),
            addition.means.as_ref()
        );
    }
    output(&out)
}

fn check_all(folder: Option<PathBuf>) -> Result<()> {
    let source = match &folder {
        None => source()?,
        Some(folder) => Source::folder(folder).map_err(|source| Error::File {
            doing: format!("read the grammar files in {}", folder.display()),
            source,
        })?,
    };
    let (mut failed, mut all) = (0, 0);
    let mut out = String::new();
    for checked in check(&source) {
        all += 1;
        let (name, means) = (checked.check.name(), checked.check.means());
        match checked.faults {
            None => out += &format!("-      {name}: not checked until the fault is gone\n"),
            Some(faults) if faults.is_empty() => out += &format!("ok     {name}: {means}\n"),
            Some(faults) => {
                failed += 1;
                out += &format!("WRONG  {name}, should be: {means}\n");
                for fault in faults {
                    out += &format!("\n{fault}\n");
                }
                out.push('\n');
            }
        }
    }
    output(&out)?;
    match failed {
        0 => output(&format!("All {all} checks passed.\n")),
        1 => Err(Error::Failed(
            "one check found something wrong; it is shown above".into(),
        )),
        more => Err(Error::Failed(format!(
            "{more} checks found something wrong; it is shown above"
        ))),
    }
}

fn print_size() -> Result<()> {
    let source = source()?;
    let began = Instant::now();
    let grammar = load(&source)?;
    let took = began.elapsed().as_secs_f64() * 1000.0;
    let size = size::size(&grammar);
    output(&format!(
        "states      {}\narcs        {}\nwordings    {}\nfragments   {}\nwords       {}\n\
         spoken numbers, states  {}\nmemory, estimated       {:.1} MB\nbuilt in                {took:.0} ms\n",
        size.states,
        size.arcs,
        size.wordings,
        size.fragments,
        size.words,
        size.number_states,
        size.bytes as f64 / 1e6,
    ))
}
