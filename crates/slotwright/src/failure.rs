//! Why a verb could not answer, with what to do about it and the exit code that it means.

use crate::verbs::read::UnreadView;
use catalog::CatalogError;

/// Why a verb could not answer.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A file that someone wrote has faults.
    #[error(transparent)]
    File(#[from] CatalogError),
    /// The data that the program carries has faults: our own mistake.
    #[error("the data that this program carries can't be read: {0}")]
    Shipped(CatalogError),
    /// The shop's own folder of data has faults.
    #[error("{error}")]
    Data { folder: String, error: CatalogError },
    /// A folder of data without any.
    #[error("`{folder}` holds no data")]
    NoData { folder: String },
    /// An address that can't be listened on.
    #[error("can't listen on {address}: {why}")]
    Listen { address: String, why: String },
    /// An address that others can reach, without a token.
    #[error("{address} can be reached from other machines, and no access token is set")]
    OpenAddress { address: String },
    /// A token that can't be used.
    #[error("the access token of `{from}` {why}")]
    Token { from: String, why: String },
    /// A view that can't be written as JSON: our own mistake.
    #[error("the view can't be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// A rule's example that can't be read or drawn: our own mistake.
    #[error("the example of rule `{rule}` can't be shown: {why}")]
    Example { rule: String, why: String },
    /// A file that can't be written.
    #[error("can't write `{path}`: {why}")]
    Write { path: String, why: String },
    /// No board of that name.
    #[error("there is no board `{name}`")]
    NoBoard { name: String, near: Vec<String> },
    /// No rule of that name.
    #[error("there is no rule `{name}`")]
    NoRule { name: String, near: Vec<String> },
    /// No root folder of that name.
    #[error("there is no folder `{folder}`")]
    NoRoot { folder: String },
    /// A snapshot that nobody took.
    #[error("the snapshot was not sent to {to}: {why}")]
    Send { to: String, why: String, hint: String },
    /// Memory that can't be measured or exercised.
    #[error(transparent)]
    Bench(#[from] bench::BenchError),
    /// A march test that can't be read.
    #[error("the march test can't be read: {0}")]
    March(#[from] bench::march::MarchError),
    /// No exercise of that name.
    #[error("there is no exercise `{name}`")]
    NoExercise { name: String, near: Vec<String> },
    /// A signal that can't be caught, so that nothing could give the memory back.
    #[error("interrupts can't be caught: {0}")]
    Signal(String),
    /// No verb of that name.
    #[error("there is no verb `{name}`")]
    NoVerb { name: String, near: Vec<String> },
    /// A mode or processor that the board does not offer.
    #[error("board {board} offers no {what} `{name}`")]
    NotOffered { what: &'static str, name: String, board: String, offered: Vec<String> },
    /// More modules than a processor has slots, or none.
    #[error("{count} modules per processor do not go into the {most} slots that board {board} has per processor")]
    Count { count: u16, board: String, most: usize },
    /// A plan number that is not on the list.
    #[error("there is no plan {number} on the list, which has {shown}")]
    NoPlan { number: usize, shown: usize, all: Front },
    /// A quote of something that has no prices.
    #[error("a build file has no prices, so there is nothing to quote")]
    NoPrices,
    /// Amounts that can't be added.
    #[error("the prices can't be added: {0}")]
    Sum(#[from] domain::money::MoneyError),
    /// A service that could not be read.
    #[error(transparent)]
    Remote(#[from] crate::remote::RemoteError),
    /// A machine's report that can't be read.
    #[error("`{from}` can't be read as a machine's report: {why}")]
    Machine { from: String, why: String, hint: String },
    /// Counts of a blank board that nobody gave and nobody can be asked for.
    #[error("a blank board needs {options}")]
    DraftMissing { options: String },
    /// A count that no board has.
    #[error("{option} is {count}, but a board file takes 1 to {most}")]
    DraftCount { option: &'static str, count: usize, most: usize },
    /// A drafted board never replaces a file, which may hold what a person confirmed.
    #[error("`{path}` is there already")]
    DraftThere { path: String },
    /// A diagnosis that can't be asked or answered so.
    #[error("{why}")]
    Diagnose { why: String, hint: String },
    /// A name that no board file can have.
    #[error("`{name}` is no name for a board")]
    BoardName { name: String },
    /// A board of that name, which nobody said may be replaced.
    #[error("there is a board `{name}` already")]
    BoardThere { name: String },
    /// Nothing of what was given can be read.
    #[error("{}", unread(.0))]
    Unread(Vec<UnreadView>),
    /// The shop's store can't do that.
    #[error(transparent)]
    Store(#[from] store::StoreError),
    /// A verb of the shop was given something that it can't use.
    #[error("{why}")]
    Shop { why: String, hint: String },
    /// Stock or prices are no longer what a quote was made of.
    #[error("quote {quote} no longer stands as it was\n  {}", changes.join("\n  "))]
    QuoteMoved { quote: String, changes: Vec<String> },
    /// A quote of a version of this program that did not keep the settings with it.
    #[error(
        "quote {quote} does not hold the settings that it was made with: it is of an earlier version of this program"
    )]
    UnknownSettings { quote: String },
    /// A module of another sort than the one that it would take the place of.
    #[error("slot {slot} holds {was}, and item {item} is {is}")]
    OtherSort { slot: String, was: String, item: i64, is: String },
    /// Rows that can't be taken into stock; none was.
    #[error("{}", crate::verbs::shop::intake::told(.0))]
    Intake(Vec<crate::verbs::shop::intake::RowFault>),
    /// Nothing was given to read.
    #[error("there is nothing to read: no thing is named, and standard input is a terminal")]
    NothingToRead,
}

/// Can the whole front be asked for where a plan was picked?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Front {
    CanBeListed,
    CanNot,
}

impl Failure {
    /// What the person can do next, in one clause.
    pub fn hint(&self) -> String {
        let one_of = |names: &[String]| format!("use one of: {}", names.join(", "));
        match self {
            Self::Remote(error) => error.hint(),
            Self::Store(error) => error.hint().to_string(),
            Self::Shop { hint, .. } => hint.clone(),
            Self::QuoteMoved { .. } => {
                "revise the quote, or order at the quoted price with --anyway, if that was agreed".to_string()
            }
            Self::UnknownSettings { .. } => {
                "name them with --shop FILE, or take those that the store keeps now with --settings-now".to_string()
            }
            Self::OtherSort { .. } => {
                "take one of the same sort, or check the changed build and add --anyway".to_string()
            }
            Self::Intake(_) => "nothing was taken in: mend these rows and give all of it again".to_string(),
            Self::Unread(unread) => unread.first().map_or_else(String::new, |u| u.hint.clone()),
            Self::NothingToRead => "give a label, a part number, a file, a folder or an address".to_string(),
            Self::File(error) | Self::Data { error, .. } => error.hint(),
            Self::NoData { .. } => {
                "name a folder that has boards, processors or modules in folders of these names, or a sources.toml"
                    .to_string()
            }
            Self::Shipped(_) | Self::Json(_) | Self::Example { .. } => {
                "this is a fault of the program, not of your input: please report it".to_string()
            }
            Self::Listen { .. } => "choose another with --listen; port 0 takes any that is free".to_string(),
            Self::OpenAddress { .. } => {
                "put a token of 16 characters or more into a file and name it with --token-file, or listen on 127.0.0.1"
                    .to_string()
            }
            Self::Token { .. } => "put 16 characters or more on its first line".to_string(),
            Self::Write { .. } => "check that the folder is there, may be written and has room".to_string(),
            Self::NoBoard { near, .. } if near.is_empty() => {
                "`slotwright boards` lists them; a path must end in .toml".to_string()
            }
            Self::NoRule { near, .. } if near.is_empty() => "`slotwright explain` lists them".to_string(),
            Self::NoRoot { .. } => {
                "give the root folder of a file system, or leave --root out for this machine's".to_string()
            }
            Self::Bench(error) => error.hint(),
            Self::March(error) => error.hint(),
            Self::NoExercise { near, .. } if near.is_empty() => "`slotwright exercise --list` lists them".to_string(),
            Self::Signal(_) => "see which signals this program may catch".to_string(),
            Self::NoVerb { near, .. } if near.is_empty() => "`slotwright help` lists them".to_string(),
            Self::NoBoard { near, .. }
            | Self::NoRule { near, .. }
            | Self::NoVerb { near, .. }
            | Self::NoExercise { near, .. } => {
                format!("did you mean {}?", quoted(near))
            }
            Self::NotOffered { offered, .. } => one_of(offered),
            Self::Count { most, .. } => format!("give a count from 1 to {most}"),
            Self::NoPrices => "give the need file, and --pick for the plan".to_string(),
            Self::Sum(error) => error.hint().to_string(),
            Self::Send { hint, .. } => hint.clone(),
            Self::Machine { hint, .. } | Self::Diagnose { hint, .. } => hint.clone(),
            Self::DraftMissing { options } => format!("give {options}, or run it at a terminal, where it asks"),
            Self::DraftCount { most, .. } => format!("give a count from 1 to {most}"),
            Self::DraftThere { .. } => "name another file, or move that one away".to_string(),
            Self::BoardName { .. } => {
                "write small letters, digits and dashes, 60 at most, such as `heron-2s8`".to_string()
            }
            Self::BoardThere { .. } => "tick that it may be replaced, or choose another name".to_string(),
            Self::NoPlan { shown: 0, .. } => "nothing fits this need".to_string(),
            Self::NoPlan { shown, all: Front::CanBeListed, .. } => {
                format!("pick from 1 to {shown}, or from the whole front with --all")
            }
            Self::NoPlan { shown, .. } => format!("pick from 1 to {shown}"),
        }
    }
    /// Is it our mistake, not the person's?
    pub fn is_ours(&self) -> bool {
        matches!(self, Self::Shipped(_) | Self::Json(_) | Self::Example { .. })
    }
    /// Drawn for a person, with colour codes if `colour`.
    pub fn render(&self, colour: bool) -> String {
        match self {
            Self::File(error) => error.render(colour),
            Self::Data { folder, error } => format!("{}\nin the data folder `{folder}`", error.render(colour)),
            Self::Shipped(error) => format!("{}\n{}", error.render(colour), self.lines(colour)),
            _ => self.lines(colour),
        }
    }
    fn lines(&self, colour: bool) -> String {
        let (red, plain) = if colour { ("\x1b[1;31m", "\x1b[0m") } else { ("", "") };
        format!("{red}error{plain}: {self}\n  = help: {}", self.hint())
    }
}

fn quoted(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    quoted.join(" or ")
}

/// `a: why; b: why`; of many the first ten.
fn unread(unread: &[UnreadView]) -> String {
    const SHOWN: usize = 10;
    let mut told: Vec<String> =
        unread.iter().take(SHOWN).map(|u| format!("`{}` can't be read: {}", u.from, u.why)).collect();
    if unread.len() > SHOWN {
        told.push(format!("and {} more", unread.len() - SHOWN));
    }
    if told.is_empty() { "nothing was found that could be read".to_string() } else { told.join("; ") }
}
