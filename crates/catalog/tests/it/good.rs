//! Good files: every value arrives where it belongs.

use crate::world::{Memory, label};
use catalog::{Input, Library};
use domain::board::{FirmwareOrder, RowItem, Usable};
use domain::need::Keep;
use domain::{Capacity, Condition, DataRate, Height, Kind, Mark, Outcome, Severity};
use std::path::Path;

#[test]
fn a_processor_arrives_whole() {
    let library = Memory::good().library();
    let processor = &library.catalog().processors["three-by-two"];
    assert_eq!((processor.channels(), processor.dpc_most), (6, 2));
    assert_eq!(processor.rates.len(), 5, "two kinds at one and two modules, and one row of one kind");
    let quad = processor.rate_limit(Kind::Rdimm, 4, 2).expect("a limit");
    assert_eq!((quad.most, quad.mark), (DataRate::from_mts(2666), Mark::Memory));
    let limit = processor.capacity_limit.as_ref().expect("a capacity limit");
    assert_eq!((limit.value, limit.source.as_str(), limit.mark), (Capacity::from_gib(1024), "manual", Mark::Seen));
    assert_eq!(processor.sets.mark, Mark::Invented, "the mark of the file's source in the register");
    assert_eq!(processor.bandwidth.rank_factors[1].1.mark, Mark::Memory);
    assert_eq!(processor.latency.as_ref().map(|l| l.value.remote_ns), Some(Some(140)));
}

#[test]
fn a_board_arrives_whole() {
    let library = Memory::good().library();
    let board = &library.catalog().boards["base"];
    assert_eq!((board.sockets.len(), board.slots.len()), (2, 20));
    assert_eq!(board.slot_by_label("E4B").map(|i| board.slot(i).address.to_string()), Some("1.1.0.1".into()));
    let system = board.limits.system.as_ref().expect("a limit");
    assert_eq!((system.severity, system.outcome), (Severity::Wrong, Outcome::Stops));
    assert_eq!(board.limits.module.as_ref().map(|l| l.severity), Some(Severity::Unsupported));
    assert_eq!(board.firmware_order, FirmwareOrder::Text);
    assert_eq!(board.modes[1].usable, Usable::LessRanks(1));
    assert_eq!(board.charts[1].socket, Some(1));
    assert!(board.charts[0].closed && board.charts[0].rows[1].slots.is_empty());
    assert_eq!(board.blanks.as_ref().map(|b| (b.value, b.severity)), Some((true, Severity::Note)));
    assert_eq!(board.layout.rows[1][5], RowItem::Gap);
    assert!(!board.layout.air_front_to_back);
    assert_eq!(board.channel_ranks.len(), 2);
}

#[test]
fn a_variant_takes_what_it_does_not_say_and_each_figure_keeps_its_source() {
    let library = Memory::good().library();
    let board = &library.catalog().boards["variant"];
    let slot = board.slot(board.slot_by_label("w1a").expect("a slot"));
    assert!(slot.under_heat_sink, "said by the variant");
    assert_eq!(slot.tab.as_deref(), Some("white"), "inherited");
    let (module, system) = (board.limits.module.as_ref(), board.limits.system.as_ref());
    assert_eq!(module.map(|l| l.source.as_str()), Some("manual"), "an inherited figure keeps the base's source");
    assert_eq!(system.map(|l| (l.value, l.source.as_str())), Some((Capacity::from_gib(512), "bench")));
    assert_eq!(board.title, "Variant");
    assert_eq!(board.limits.height_under_heat_sink.as_ref().map(|l| l.value), Some(Height::from_mm(18.75)));
}

#[test]
fn a_board_of_ones_own_inherits_by_name_and_by_path() {
    let files = Memory::good().with("sub/own2.toml", "format = 1\ninherit = \"../own.toml\"\ntitle = \"Second\"\n");
    let library = files.library();
    let own = library.board(&Input::file(&files, Path::new("own.toml")).expect("there")).expect("good");
    assert_eq!((own.id.as_str(), own.slots.len()), ("own", 20));
    let second = library.board(&Input::file(&files, Path::new("sub/own2.toml")).expect("there")).expect("good");
    assert_eq!((second.title.as_str(), second.source.as_str()), ("Second", "the manual of this board, page 12"));
}

#[test]
fn a_shop_lays_its_own_data_over_what_is_there() {
    let library = Memory::good().library();
    let own = "format = 1\ninherit = \"base\"\nsource = \"our bench\"\ntitle = \"Ours\"\n";
    let over = library.with(&Memory::default().with("boards/base.toml", own)).expect("good");
    assert_eq!(over.catalog().boards["base"].title, "Ours");
    assert_eq!(library.catalog().boards["base"].title, "Base");
}

#[test]
fn a_build_names_modules_by_id_part_number_and_label() {
    let files = Memory::good();
    let library = files.library();
    let build = library.build(&Input::file(&files, Path::new("build.toml")).expect("there"), &label).expect("good");
    let names: Vec<(String, String)> =
        build.filled().map(|(i, m)| (build.board.slot(i).label.clone(), m.id.0.clone())).collect();
    let wanted = [("w1a", "r64"), ("w2a", "r32"), ("w4a", "r64"), ("w5a", "16GB 1Rx4 PC4-2933Y-R")];
    assert_eq!(names, wanted.map(|(a, b)| (a.to_string(), b.to_string())));
    assert!(build.processors[1].is_none() && build.mode.0 == "mirror" && build.reserved.len() == 1);
}

#[test]
fn a_need_takes_its_lots_from_the_catalogue_or_from_stock() {
    let files = Memory::good();
    let library = files.library();
    let need = library.need(&Input::file(&files, Path::new("need.toml")).expect("there"), &label).expect("good");
    assert_eq!(need.capacity.least, Some(Capacity::from_gib(700)));
    assert_eq!((need.free_slots, need.machines, need.keep), (4, 10, Keep::Any));
    assert_eq!((need.installed.len(), need.loose.len(), need.lots.len()), (1, 2, 2));
    assert!(need.lots.iter().all(|l| l.condition == Condition::Used && l.count.is_none()));
    let text = files.text("need.toml").replace("{ kinds = [\"RDIMM\"], conditions = [\"used\"] }", "\"stock.toml\"");
    let files = files.with("need.toml", text);
    let need = library.need(&Input::file(&files, Path::new("need.toml")).expect("there"), &label).expect("good");
    assert_eq!((need.lots[0].count, need.lots[0].bin.as_deref()), (Some(14), Some("C3-07")));
    assert_eq!((need.lots[1].count, need.lots[1].condition), (None, Condition::New));
}

#[test]
fn a_typed_text_names_no_file() {
    let library = Memory::good().library();
    let text = Memory::good().text("need.toml");
    let error = library.need(&Input::text("the form", text), &label).expect_err("it names own.toml");
    assert!(error.to_string().starts_with("the form:1:9: can't read"), "{error}");
}

#[test]
fn shipped_data_is_inherited_by_name_from_any_folder() {
    let library = Library::shipped().unwrap_or_else(|e| panic!("{}", e.render(false)));
    let Some(id) = library.catalog().boards.keys().next() else { panic!("no boards are shipped") };
    let text = format!("format = 1\ninherit = \"{id}\"\nsource = \"page 1\"\ntitle = \"Mine\"\n");
    let board = library.board(&Input::text("mine.toml", text)).unwrap_or_else(|e| panic!("{}", e.render(false)));
    assert_eq!(board.slots.len(), library.catalog().boards[id].slots.len());
}
