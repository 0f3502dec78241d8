//! The same trials on SQLite and on PostgreSQL.
//!
//! PostgreSQL is tried where `SLOTWRIGHT_TEST_POSTGRES` holds the URL of a server on which databases may be made; `./test`
//! starts one on loopback.

mod allocation;
mod counting;
mod evidence;
mod orders;
mod places;
mod quotes;
mod stock;
mod together;
mod tokens;

use domain::item::{Model, NewItem, Screened, Who};
use domain::order::{Claim, NewOrder, Order, Priced};
use domain::{Capacity, Condition, Currency, DataRate, Day, Generation, Kind, Money, Stamp};
use sqlx::{AssertSqlSafe, Connection, PgConnection};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};
use store::{Place, Store};

static MADE: AtomicU32 = AtomicU32::new(0);

/// A place for a store of its own; it is cleared away at the end.
pub struct Room {
    pub place: Place,
    folder: Option<PathBuf>,
}

impl Room {
    fn file() -> Self {
        let number = MADE.fetch_add(1, Ordering::Relaxed);
        let folder = std::env::temp_dir().join(format!("store-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        Self { place: Place::File(folder.join("shop.db")), folder: Some(folder) }
    }
    fn server() -> Option<Self> {
        let url = std::env::var("SLOTWRIGHT_TEST_POSTGRES").ok()?;
        let name = format!("store_{}_{}", std::process::id(), MADE.fetch_add(1, Ordering::Relaxed));
        sql(&url, &format!("create database {name}"));
        let (server, query) = url.split_once('?').map_or((url.as_str(), String::new()), |(s, q)| (s, format!("?{q}")));
        let server = server.rsplit_once('/').unwrap().0;
        Some(Self { place: Place::Server(format!("{server}/{name}{query}")), folder: None })
    }
    pub fn open(&self) -> Store {
        Store::open(&self.place).unwrap()
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        if let Some(folder) = &self.folder {
            let _ = std::fs::remove_dir_all(folder);
        }
        if let (Place::Server(url), Ok(admin)) = (&self.place, std::env::var("SLOTWRIGHT_TEST_POSTGRES")) {
            let name = url.split('?').next().and_then(|u| u.rsplit('/').next()).unwrap_or_default();
            sql(&admin, &format!("drop database if exists {name} with (force)"));
        }
    }
}

fn sql(url: &str, text: &str) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let mut server = PgConnection::connect(url).await.unwrap();
        sqlx::raw_sql(AssertSqlSafe(text.to_string())).execute(&mut server).await.unwrap();
    });
}

/// Runs a trial on every database that is there.
pub fn each(trial: impl Fn(&Store)) {
    for room in rooms() {
        let store = room.open();
        trial(&store);
        assert_eq!(store.faults().unwrap(), Vec::<String>::new(), "{:?}", room.place);
    }
}

/// A room on every database that is there.
pub fn rooms() -> Vec<Room> {
    std::iter::once(Room::file()).chain(Room::server()).collect()
}

pub fn who() -> Who {
    Who { name: "bench 1".to_string(), at: Stamp::from_seconds(1_790_000_000) }
}

pub fn euro(minor: i64) -> Money {
    Money::from_minor(minor, Currency::parse("EUR").unwrap())
}

/// A module with a serial, or a lot of `quantity`.
pub fn new_item(serial: Option<&str>, quantity: u32) -> NewItem {
    NewItem {
        model: Model {
            label: "32GB 2Rx4 PC4-2933Y-RB2".to_string(),
            part_number: Some("DEMO-32-2933".to_string()),
            maker: Some("Avocet Modules".to_string()),
            die: Some("8 Gb B".to_string()),
            generation: Generation::Ddr4,
            kind: Kind::Rdimm,
            capacity: Capacity::from_gib(32),
            organisation: "2Rx4".to_string(),
            rate: DataRate::from_mts(2933),
        },
        serial: serial.map(str::to_string),
        condition: Condition::Used,
        quantity,
        batch: None,
        bin: "A1".to_string(),
        cost: euro(4200),
        screened: Screened::Clean,
        screening_note: String::new(),
        made: Some((2020, 14)),
        received: Day::from_days(20_000),
        note: String::new(),
    }
}

/// An order with its build chosen.
pub fn chosen(store: &Store, machines: u32) -> Order {
    let new = NewOrder {
        customer: "Curlew Hosting".to_string(),
        priority: 3,
        machines,
        due: None,
        need: "board = \"dunlin-2s6\"".to_string(),
        quote: None,
    };
    let order = store.new_order(&new, &who()).unwrap();
    store.choose_build(order.id, Some(order.version), "{}", priced(90_000), &who()).unwrap()
}

/// A price that is what the modules cost.
pub fn priced(minor: i64) -> Priced {
    Priced { price: euro(minor), cost: None }
}

/// Claims of these items, one slot each, for machine 1.
pub fn claims(items: &[domain::item::ItemId]) -> Vec<Claim> {
    let slot = |(i, item): (usize, &domain::item::ItemId)| Claim { item: *item, machine: 1, slot: format!("S{i}") };
    items.iter().enumerate().map(slot).collect()
}
