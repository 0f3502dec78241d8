//! Orders as a table for other programs.

use super::order;
use super::stock::harmless;
use crate::failure::Failure;
use store::{OrderFilter, Store};

const COLUMNS: [&str; 10] =
    ["order", "stage", "priority", "customer", "machines", "due", "build", "price", "currency", "price_is"];

/// Every order that the filter finds, whatever its page; those that go first on top.
///
/// # Errors
/// The store's.
pub fn export(store: &Store, filter: &OrderFilter) -> Result<String, Failure> {
    const PAGE: u32 = 1000;
    let failed = |why: String| Failure::Shop { why, hint: "try again".to_string() };
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(COLUMNS).map_err(|e| failed(e.to_string()))?;
    let mut filter = OrderFilter { skip: 0, most: PAGE, ..filter.clone() };
    loop {
        let page = order::list(store, &filter)?.orders;
        for o in &page {
            let (priority, machines) = (o.priority.to_string(), o.machines.to_string());
            let price = o.price.as_ref().map_or(("", ""), |p| (p.amount.as_str(), p.currency.as_str()));
            let cells: [&str; 10] = [
                &o.number,
                &o.stage,
                &priority,
                &o.customer,
                &machines,
                o.due.as_deref().unwrap_or_default(),
                o.build.as_ref().map_or("", |b| &b.words),
                price.0,
                price.1,
                o.price_is.as_deref().unwrap_or_default(),
            ];
            writer.write_record(cells.map(harmless)).map_err(|e| failed(e.to_string()))?;
        }
        if page.len() < PAGE as usize {
            break;
        }
        filter.skip += PAGE;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}
