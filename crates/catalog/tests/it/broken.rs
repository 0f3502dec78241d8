//! Broken files: each gives a fault at its place, in words, with something to do.

use crate::world::Memory;

/// A good file with one change. `▸` in the new text stands where the fault must point and is taken out.
struct Broken {
    file: &'static str,
    old: &'static str,
    new: &'static str,
    says: &'static str,
    hint: &'static str,
}

const BASE: &str = "boards/base.toml";
const PROCESSOR: &str = "processors/three-by-two.toml";
const MODULES: &str = "modules/some.toml";

macro_rules! broken {
    ($($file:expr, $old:expr => $new:expr, $says:expr, $hint:expr;)*) => {
        &[$(Broken { file: $file, old: $old, new: $new, says: $says, hint: $hint },)*]
    };
}

const BOARDS: &[Broken] = broken! {
    BASE, "title = \"Base\"" => "▸titel = \"Base\"", "no key `titel`", "did you mean `title`?";
    BASE, "format = 1\ntitle = \"Base\"" => "▸format = 1", "key `title` is missing", "add a line `title = …`";
    BASE, "format = 1" => "format = ▸2", "format the whole number 2", "write `format = 1`";
    BASE, "format = 1\n" => "▸", "key `format` is missing", "format = 1";
    BASE, "\"DDR4\"" => "▸\"DDR44\"", "`DDR44` is not a word", "did you mean `DDR4`?";
    BASE, "training_minutes = 5" => "training_minutes = ▸\"5\"", "expected a whole number, found a text", "take the quotes away";
    BASE, "training_minutes = 5" => "training_minutes = ▸-5", "-5 is out of range", "0 to";
    BASE, "training_minutes = 5" => "training_minutes = ▸99999999999999999999", "out of range", "0 to 4294967295";
    BASE, "training_minutes = 5" => "training_minutes = ▸601", "minutes of memory training", "0 to 600";
    BASE, "title = \"Base\"" => "title = ▸5", "expected a text, found the whole number 5", "double quotes";
    BASE, "title = \"Base\"" => "title = ▸\"\"", "the title is empty", "short name";
    BASE, "title = \"Base\"" => "title = \"Base\"\n▸title = \"Twice\"", "duplicate key", "stands once";
    BASE, "processors = [\"three-by-two\"]" => "processors = ▸\"three-by-two\"", "expected a list", "put it in brackets";
    BASE, "[\"three-by-two\"]" => "[▸\"three-by-tow\"]", "no processor `three-by-tow`", "did you mean `three-by-two`?";
    BASE, "[\"three-by-two\"]" => "[\"three-by-two\", ▸\"three-by-two\"]", "given twice", "take one";
    BASE, "[\"three-by-two\"]" => "[▸\"one-by-two\"]", "one-by-two has 1 controller of 2 channels, but socket `west` has 2 of 3 and 3", "lay the socket's channels out";
    BASE, "[\"three-by-two\"]" => "▸[]", "takes no processor", "name the processor families";
    BASE, "[\"w3a\"]" => "[\"w3a\", \"w3b\", \"w3c\"]", "has a channel of 3 slots", "take the surplus slots away";
    BASE, "[\"w3a\"]" => "▸[]", "number of slots of a channel", "1 to 4";
    BASE, "[\"w3a\"]" => "[▸\"W1A\"]", "slot `W1A` is given twice", "take one of the two away";
    BASE, "[\"w3a\"]" => "[▸\"#w3a\"]", "can't start with `#`", "stands for a socket";
    BASE, "[\"w3a\"]" => "[▸\"\"]", "label of a slot is empty", "short name";
    BASE, "[\"w3a\"]" => "[▸\"a\\u001bb\"]", "can't be printed", "one line";
    BASE, "name = \"east\"" => "name = ▸\"West\"", "socket `West` is given twice", "take one";
    BASE, "[slot.w1a]" => "[slot.▸w9z]", "no slot `w9z`", "use one of";
    BASE, "tab = \"white\"" => "tab = \"white\"\n\n[slot.▸W1A]", "slot `W1A` is given twice", "take one";
    BASE, "modules_per_channel = [2]" => "modules_per_channel = ▸[9]", "9 is out of range", "1 to 4";
    BASE, "most = 2666" => "most = ▸26660", "out of range", "200 MT/s";
    BASE, "most = 2666" => "most = ▸26.66", "expected a data rate", "write a data rate";
    BASE, "module = \"128 GiB\"" => "module = ▸\"128\"", "has no unit", "GiB";
    BASE, "module = \"128 GiB\"" => "module = ▸128", "expected a text, or a table", "double quotes";
    BASE, "module = \"128 GiB\"" => "module = ▸\"0 GiB\"", "no memory at all", "above 0";
    BASE, "module = \"128 GiB\"" => "module = ▸\"2000 TiB\"", "out of range", "1024 TiB";
    BASE, "severity = \"wrong\"" => "severity = ▸\"worng\"", "`worng` is not a word", "did you mean `wrong`?";
    BASE, "system = { most = \"1 TiB\"" => "system = { ▸mots = \"1 TiB\"", "", "did you mean `most`?";
    BASE, "slot_watts = \"12 W\"" => "slot_watts = ▸\"12 A\"", "expected a power", "15 W";
    BASE, "height_mm = 31.25" => "height_mm = ▸3000.0", "height in mm", "1 to 200";
    BASE, "height_mm = 31.25" => "height_mm = ▸nan", "expected a number, or a table, found no finite number", "write a number";
    BASE, "package_ranks = 8" => "package_ranks = ▸300", "300 is out of range", "0 to 255";
    BASE, "kinds = [\"RDIMM\", \"LRDIMM\"]\npackage_ranks = 8" => "kinds = ▸[\"RDIMM\"]", "without a figure", "package_ranks";
    BASE, "die_gbit = 16\nleast" => "least", "needs one of `processor`", "[[firmware.need]]";
    BASE, "widths = { allowed = false" => "widths = { ▸alowed = false", "no key `alowed`", "did you mean `allowed`?";
    BASE, "capacities = 2" => "capacities = ▸999", "expected a whole number from 0 to 255, or a table", "";
    BASE, "counts = [6]" => "counts = [▸60]", "modules of one processor", "1 to 10";
    BASE, "alike = [[0, 3]" => "alike = [▸[0, 9]", "no channel 9", "channel number =";
    BASE, "not_with_numa = [\"two-nodes\"]" => "not_with_numa = [▸\"to-nodes\"]", "no NUMA mode", "did you mean `two-nodes`?";
    BASE, "{ less_ranks = 1 }" => "▸{ }", "needs one of `less_ranks`", "\"half\"";
    BASE, "usable = \"half\"" => "usable = ▸\"haf\"", "`haf` is not a word", "did you mean `half`?";
    BASE, "name = \"spare-rank\"" => "name = ▸\"mirror\"", "RAS mode `mirror` is given twice", "take one";
    BASE, "slots = [\"w1a\"]" => "slots = [▸\"w1z\"]", "no slot `w1z`", "did you mean";
    BASE, "slots = [\"w1a\"]" => "slots = [▸\"e1a\"]", "is of socket `east`", "socket = \"name\"";
    BASE, "count = 1\n" => "count = ▸2\n", "for 2 modules, but names 1 slot", "as many slots as the count";
    BASE, "count = 5" => "count = ▸1", "count `1` is given twice", "take one";
    BASE, "count = 5" => "count = ▸11", "11 is out of range", "1 to 10";
    BASE, "mode = \"mirror\"" => "mode = ▸\"miror\"", "no RAS mode `miror`", "did you mean `mirror`?";
    BASE, "socket = \"east\"" => "socket = ▸\"esat\"", "no socket `esat`", "did you mean `east`?";
    BASE, "order = [\"e1a\", \"e4a\"]" => "order = [\"e1a\", ▸\"E1A\"]", "slot `E1A` is given twice", "take one";
    BASE, "\"#west\"" => "▸\"#wset\"", "no socket `wset`", "did you mean `west`?";
    BASE, "\"w6a\"],\n    [\"e1b\"" => "▸\"w5a\"],\n    [\"e1b\"", "`w5a` is given twice", "take one";
    BASE, "[\"w1b\", \"w1a\", \"w2b\"" => "[▸\"w1b\", \"w1a\"", "lacks slot `w2b`", "every slot";
    BASE, "source = \"manual\"" => "source = ▸\"manul\"", "no source `manul`", "did you mean `manual`?";
    BASE, "name = \"west\"" => "name = \"west▸", "not TOML", "double quotes";
    "boards/variant.toml", "inherit = \"base\"" => "inherit = ▸\"bsae\"", "no board `bsae`", "did you mean `base`?";
    "boards/variant.toml", "inherit = \"base\"" => "inherit = ▸\"gone.toml\"", "can't read `boards/gone.toml`", "relative to the folder";
    "boards/variant.toml", "inherit = \"base\"" => "inherit = ▸[\"base\"]", "expected a text", "name one board";
    "boards/variant.toml", "inherit = \"base\"" => "inherit = ▸\"variant\"", "inherits itself: boards/variant.toml → boards/variant.toml", "take one `inherit`";
    "boards/variant.toml", "inherit = \"base\"" => "inherit = ▸\"../boards/./variant.toml\"", "inherits itself", "take one `inherit`";
};

const DATA: &[Broken] = broken! {
    "sources.toml", "mark = \"seen\"" => "mark = ▸\"sene\"", "`sene` is not a word", "did you mean `seen`?";
    PROCESSOR, "controllers = 2" => "controllers = ▸0", "number of controllers", "1 to 16";
    PROCESSOR, "channels = 3" => "channels = ▸300", "out of range", "0 to 255";
    PROCESSOR, "controllers = 2\nchannels = 3" => "controllers = 16\nchannels = ▸16", "more than 32 channels", "of one controller";
    PROCESSOR, "ranks = [4, 8]" => "ranks = ▸[8, 4]", "not a least and a most", "[1, 2]";
    PROCESSOR, "ranks = [4, 8]" => "ranks = ▸[4, 8, 9]", "not a least and a most", "[1, 2]";
    PROCESSOR, "modules_per_channel = [1, 2]" => "modules_per_channel = ▸[1, 3]", "3 is out of range", "1 to 2";
    PROCESSOR, "sizes = [6, 4, 3, 2, 1]" => "sizes = ▸[6, 4, 3, 2]", "set size 1 is missing", "add 1";
    PROCESSOR, "sizes = [6, 4, 3, 2, 1]" => "sizes = ▸[7, 6, 4, 3, 2, 1]", "size of a set", "1 to 6";
    PROCESSOR, "[0, 1, 2]]\n\n" => "▸[0, 1, 2, 3, 4]]\n\n", "a set of 5 channels", "add the size";
    PROCESSOR, "[0, 1, 2]]\n\n" => "▸[0, 1, 1]]\n\n", "channel 1 stands twice", "once";
    PROCESSOR, "{ least = 2, factor" => "{ least = ▸1, factor", "do not ascend", "order them";
    PROCESSOR, "factor = 0.9" => "factor = ▸inf", "expected a number, found no finite number", "write a number";
    PROCESSOR, "sustained = { value = 0.8" => "sustained = { value = ▸1.8", "sustained share", "0.01 to 1";
    PROCESSOR, "[3, 4, 5]]" => "▸[2, 3, 4, 5]]", "channel 2 is in two nodes", "one node";
    PROCESSOR, "nodes = [[0, 1, 2], [3, 4, 5]]" => "nodes = ▸[[0, 1, 2], [3, 4]]", "hold 5 of the processor's 6", "every channel";
    PROCESSOR, "most = \"1 TiB\"" => "most = ▸\"-1 TiB\"", "out of range", "0 MiB";
    PROCESSOR, "remote_ns = 140" => "remote_ns = ▸1.5", "expected a whole number", "whole number";
    PROCESSOR, "[latency]" => "▸[[latency]]", "expected a table, found a list", "single brackets";
    MODULES, "id = \"r32\"" => "id = ▸\"r64\"", "module `r64` is given twice", "take one";
    MODULES, "ecc_bits = 8\nrate = 2933\ncas" => "ecc_bits = ▸4\nrate = 2933\ncas", "number of ECC bits is 4", "0, 8";
    MODULES, "die_gbit = 16" => "die_gbit = ▸8", "2Rx4 of 8 Gbit dies makes 32 GiB, not 64 GiB", "capacity =";
    MODULES, "ranks = 2\nwidth = 4\necc_bits = 8\nrate = 2933\ncas" => "ranks = 2\nwidth = ▸5\necc_bits = 8\nrate = 2933\ncas", "width of a device is 5", "4, 8, 16";
    MODULES, "\"310.00 EUR\"" => "▸\"310.001 EUR\"", "more than two decimal places", "whole cents";
    MODULES, "\"310.00 EUR\"" => "▸310", "expected a text", "double quotes";
    MODULES, "\"310.00 EUR\"" => "▸\"310\"", "not an amount of money", "currency code";
    MODULES, "kind = \"RDIMM\"\ncapacity = \"64" => "kind = ▸\"rdimm\"\ncapacity = \"64", "`rdimm` is not a word", "did you mean `RDIMM`?";
    MODULES, "ecc_bits = 8\nrate = 2933\ncas" => "stack = ▸4\necc_bits = 8\nrate = 2933\ncas", "kind RDIMM with 3DS stacks of 4", "RDIMM-3DS";
    MODULES, "height_mm = 31.25" => "height_mm = ▸1e300", "height in mm", "1 to 200";
};

const TASKS: &[Broken] = broken! {
    "build.toml", "board = \"base\"" => "board = ▸\"bsae\"", "no board `bsae`", "did you mean `base`?";
    "build.toml", "board = \"base\"" => "board = ▸\"bsae.toml\"", "can't read `bsae.toml`", "relative to the folder";
    "build.toml", "[\"three-by-two\", \"none\"]" => "▸[\"three-by-two\"]", "1 processor for a board with 2 sockets", "[\"three-by-two\", \"three-by-two\"]";
    "build.toml", "[\"three-by-two\", \"none\"]" => "▸[\"\", \"none\"]", "without a processor", "at least one";
    "build.toml", "[\"three-by-two\", \"none\"]" => "[▸\"one-by-two\", \"none\"]", "`base` does not take the processor `one-by-two`", "it takes: three-by-two";
    "build.toml", "[\"three-by-two\", \"none\"]" => "[▸\"three-by-2\", \"none\"]", "no processor `three-by-2`", "did you mean `three-by-two`?";
    "build.toml", "mode = \"mirror\"" => "mode = ▸\"mirorr\"", "no RAS mode `mirorr`", "did you mean `mirror`?";
    "build.toml", "mode = \"mirror\"" => "numa = ▸\"two-node\"", "no NUMA mode", "did you mean `two-nodes`?";
    "build.toml", "reserved = [\"w6a\"]" => "reserved = [\"w6a\", ▸\"W6A\"]", "reserved slot `W6A` is given twice", "take one";
    "build.toml", "w1a = \"r64\"" => "▸w1z = \"r64\"", "no slot `w1z`", "did you mean";
    "build.toml", "w1a = \"r64\"" => "w1a = ▸64", "expected a text", "double quotes";
    "build.toml", "w1a = \"r64\"" => "w1a = ▸\"r-64\"", "is no module label", "did you mean `r64`?";
    "build.toml", "w1a = \"r64\"" => "w1a = ▸\"\"", "module without a name", "take the line away";
    "build.toml", "w1a = \"r64\"" => "w1a = \"r64\"\n▸w1a = \"r32\"", "duplicate key", "stands once";
    "build.toml", "W5A = " => "▸W1A = ", "slot `W1A` is given twice", "take one";
    "build.toml", "[slots]" => "[slots]\n▸machines = \"r64\"", "no slot `machines`", "move `machines` above";
    "build.toml", "[slots]" => "▸[[slots]]", "expected a table, found a list", "single brackets";
    "need.toml", "\"700 GiB\"" => "▸\"2 TiB\"", "at least 2 TiB and at most 1 TiB", "swap";
    "need.toml", "\"700 GiB\"" => "▸\"700 GHz\"", "has the unit `GHz`", "GiB";
    "need.toml", "budget = " => "about = ▸\"750 GB\"\nbudget = ", "`about` beside a least", "alone";
    "need.toml", "\"4000 EUR\"" => "▸\"4000 USD\"", "an amount in USD meets one in EUR", "prices are in EUR";
    "need.toml", "budget = \"4000 EUR\"" => "budget = ▸4000", "expected a text", "double quotes";
    "need.toml", "budget = \"4000 EUR\"" => "budget = ▸\"-1 EUR\"", "out of range", "from 0";
    "need.toml", "\"150 GB/s\"" => "▸\"150\"", "has no unit", "GB/s";
    "need.toml", "free_slots = 4" => "free_slots = ▸21", "slots to leave empty", "0 to 20";
    "need.toml", "machines = 10" => "machines = ▸0", "number of machines", "1 to 10000";
    "need.toml", "keep = false" => "keep = ▸\"no\"", "expected `true` or `false`", "quotes";
    "need.toml", "kinds = [\"RDIMM\"]" => "kindes = [\"RDIMM\"]", "no key `kindes`", "did you mean `kinds`?";
    "need.toml", "{ kinds = [\"RDIMM\"], conditions" => "▸{ kinds = [\"UDIMM\"], conditions", "no priced module", "leave out one";
    "need.toml", "kinds = [\"RDIMM\"]" => "ids = [▸\"r46\"]", "no module of the catalogue `r46`", "did you mean";
    "need.toml", "kinds = [\"RDIMM\"]" => "makers = [▸\"Nobdy\"]", "no maker `Nobdy`", "did you mean `Nobody`?";
    "need.toml", "{ kinds = [\"RDIMM\"], conditions = [\"used\"] }" => "▸\"gone.toml\"", "can't read `gone.toml`", "stock file by its path";
    "need.toml", "kinds = [\"RDIMM\"]" => "stock = ▸\"stock.toml\"", "beside a filter", "one of the two";
    "need.toml", "capacity = { least = \"700 GiB\", most = \"1 TiB\" }\nbudget = \"4000 EUR\"\nbandwidth.least = \"150 GB/s\"" => "", "asks for nothing", "add `capacity`";
    "need.toml", "w1a = \"r32\"" => "▸w1q = \"r32\"", "no slot `w1q`", "did you mean";
    "stock.toml", "condition = \"new\"" => "condition = ▸\"nwe\"", "`nwe` is not a word", "did you mean `new`?";
    "stock.toml", "\"95.50 EUR\"" => "▸\"95.50 USD\"", "an amount in USD meets one in EUR", "one currency";
    "stock.toml", "count = 14" => "count = ▸14000000", "count of a lot", "0 to 1000000";
    "stock.toml", "count = 14" => "▸cuont = 14", "no key `cuont`", "did you mean `count`?";
    "stock.toml", "[[lot]]\nmodule = \"r64\"" => "▸[[lot]]", "key `module` is missing", "add a line `module = …`";
};

/// Checks one row; gives what is wrong with the answer.
fn check(good: &Memory, row: &Broken) -> Result<(), String> {
    let text = good.text(row.file);
    if !text.contains(row.old) {
        return Err(format!("`{}` is not in {}", row.old, row.file));
    }
    let marked = text.replacen(row.old, row.new, 1);
    let mark = marked.find('▸');
    let files = good.clone().with(row.file, marked.replace('▸', ""));
    let error = files.read(row.file).err().ok_or("it was read as if it were right")?;
    let reports = error.reports();
    let report = &reports[0];
    let says = report.problem.to_string();
    let place = report.place.clone().ok_or_else(|| format!("no place: {says}"))?;
    let drawn = error.render(false);
    let mut wrong = Vec::new();
    if let Some(mark) = mark {
        let before = &marked[..mark];
        let line = before.matches('\n').count() + 1;
        let column = before.chars().rev().take_while(|c| *c != '\n').count() + 1;
        if (place.line, place.column) != (line, column) {
            wrong.push(format!("points at {place}, not at {line}:{column}"));
        }
    }
    if !drawn.contains(&format!("{}:{}", place.file, place.line)) {
        wrong.push("the drawing lacks the place".to_string());
    }
    if !place.file.ends_with(row.file) {
        wrong.push(format!("points into {}", place.file));
    }
    if !says.contains(row.says) {
        wrong.push(format!("says {says:?}"));
    }
    if !report.hint.contains(row.hint) || report.hint.starts_with("see the guide") {
        wrong.push(format!("hints {:?}", report.hint));
    }
    let sentence = says.chars().take(2).map(|c| c.is_ascii_uppercase()).eq([true, false]);
    if sentence || says.ends_with('.') {
        wrong.push(format!("no lower-case fragment: {says:?}"));
    }
    if wrong.is_empty() { Ok(()) } else { Err(format!("{}\n{drawn}", wrong.join("\n"))) }
}

fn check_all(rows: &[Broken]) {
    let good = Memory::good();
    let failed: Vec<String> = rows
        .iter()
        .filter_map(|row| check(&good, row).err().map(|e| format!("{}: {:?}\n{e}\n", row.file, row.new)))
        .collect();
    assert!(failed.is_empty(), "{} of {} rows:\n\n{}", failed.len(), rows.len(), failed.join("\n"));
}

#[test]
fn broken_boards() {
    check_all(BOARDS);
}

#[test]
fn broken_processors_and_modules() {
    check_all(DATA);
}

#[test]
fn broken_builds_needs_and_stock() {
    check_all(TASKS);
}
