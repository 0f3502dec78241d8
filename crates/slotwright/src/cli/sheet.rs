//! `sheet KIND FILE`: arguments, PDF and text.

use super::Reply;
use super::paint::Paint;
use super::table::{facts, table, wrap};
use crate::failure::Failure;
use crate::verbs::sheet::{self, Kind, Papers, SheetView};
use crate::verbs::shop::settings;
use crate::world::{self, Data};
use catalog::{Folder, Input};
use draw::sheet::{Block, Paper, Sheet};
use jiff::civil::Date;
use std::path::{Path, PathBuf};
use store::Store;

/// Makes the papers that go with a plan or a build: quote, pick list, bench sheet, record, stickers.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which paper.
    #[arg(value_enum)]
    kind: Kind,
    /// A need file, with `--pick`, or a build file (TOML).
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The number of the plan, as `plan` lists it; the first if absent.
    #[arg(long, value_name = "N")]
    pick: Option<usize>,
    /// The shop's settings (TOML): name, margin, tax, terms; if absent those that the store keeps, where one is named.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// The number of the quote or order.
    #[arg(long, value_name = "TEXT", default_value = "")]
    number: String,
    /// Who it is for.
    #[arg(long, value_name = "TEXT", default_value = "")]
    customer: String,
    /// The date on it, as 2026-11-25; today if absent.
    #[arg(long, value_name = "DATE")]
    date: Option<Date>,
    /// The size of paper.
    #[arg(long, value_enum, default_value_t, value_name = "SIZE")]
    paper: Size,
    /// Write it as PDF.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Print the sheet as JSON.
    #[arg(long)]
    json: bool,
}

/// A size of paper.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Size {
    #[default]
    A4,
    Letter,
}

/// Makes the sheet.
///
/// # Errors
/// A file is wrong, there is no plan of that number, the build has no prices, or the PDF can't be written.
pub fn run(
    args: &Args,
    data: &Data,
    store: impl FnOnce() -> Result<Option<Store>, Failure>,
    paint: Paint,
) -> Result<Reply, Failure> {
    let date = args.date.unwrap_or_else(world::today);
    let papers = Papers { number: args.number.clone(), customer: args.customer.clone(), date };
    let shop = match &args.shop {
        Some(path) => Some(data.library.shop(&Input::file(&Folder::default(), path)?)?),
        None => store()?.map_or(Ok(None), |store| settings::kept(data, &store))?,
    };
    let job = sheet::job(&data.library, &args.file, args.pick, shop, papers)?;
    let made = sheet::sheet(args.kind, &job)?;
    printed(&made, args.out.as_deref().map(|path| (path, args.paper)), args.json, paint)
}

/// A sheet as a reply, and as PDF where a file is named.
///
/// # Errors
/// The PDF can't be written.
pub fn printed(made: &Sheet, out: Option<(&Path, Size)>, json: bool, paint: Paint) -> Result<Reply, Failure> {
    let mut reply = Reply::of(&SheetView::new(made), json, false, || match out {
        Some(_) => String::new(),
        None => words(made, paint),
    })?;
    if let Some((path, size)) = out {
        let paper = match size {
            Size::A4 => Paper::A4,
            Size::Letter => Paper::Letter,
        };
        world::write_bytes(path, &draw::pdf::render(made, paper))?;
        let pages = draw::sheet::pages(made, paper).len();
        reply.notices.push(format!("wrote {}: {}, pages: {pages}", path.display(), made.title.to_lowercase()));
    }
    Ok(reply)
}

/// A sheet as text.
pub fn words(sheet: &Sheet, paint: Paint) -> String {
    let mut text = String::new();
    for line in sheet.from.iter().chain([&sheet.title]).chain(&sheet.aside) {
        text.push_str(&format!("{}\n", paint.strong(line)));
    }
    for block in &sheet.blocks {
        text.push_str(&one(block, paint));
    }
    text
}

fn one(block: &Block, paint: Paint) -> String {
    match block {
        Block::Heading(heading) => format!("\n{}\n", paint.strong(heading)),
        Block::Text(words) | Block::Small(words) => format!("{}\n", wrap(words, 2)),
        Block::Cautions(lines) => lines.iter().map(|l| format!("  ! {}\n", wrap(l, 4).trim_start())).collect(),
        Block::Facts(rows) => {
            let rows: Vec<(&str, String)> = rows.iter().map(|(k, v)| (k.as_str(), v.clone())).collect();
            facts(&rows)
        }
        Block::Table(t) => {
            let header: Vec<&str> = t.columns.iter().map(|c| c.title.as_str()).collect();
            let right: Vec<usize> = (0..t.columns.len()).filter(|i| t.columns[*i].right).collect();
            let padded = |row: &Vec<String>| {
                let mut row = row.clone();
                row.resize(header.len(), String::new());
                row
            };
            table(&header, &right, t.rows.iter().chain(&t.totals).map(padded).collect())
        }
        Block::Steps(steps) => (1..)
            .zip(steps)
            .map(|(n, s)| {
                let detail = if s.detail.is_empty() { String::new() } else { format!("\n{}", wrap(&s.detail, 8)) };
                format!("  [ ] {n}. {}{detail}\n", wrap(&s.act, 9).trim_start())
            })
            .collect(),
        Block::Map(drawing) | Block::MapPage(drawing) => {
            let style = draw::text::TextStyle { columns: world::columns(), colour: paint.is_on(), unicode: true };
            draw::text::render(drawing, &style)
        }
        Block::Signatures(lines) => lines.iter().map(|l| format!("\n  {l}: ____________________\n")).collect(),
        Block::Blank(lines) => "  ________________________________\n".repeat(usize::from(*lines)),
        Block::Stickers(all) => all.iter().map(|s| format!("  [{}] {}\n", s.code, s.lines.join(", "))).collect(),
        Block::Break => String::new(),
    }
}
