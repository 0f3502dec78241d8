//! The published schemas of the views are what the views are.

use schemars::{JsonSchema, schema_for};
use std::fs;
use std::path::Path;

fn hold<V: JsonSchema>(name: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../docs/schemas/view-{name}.json"));
    let made = serde_json::to_string_pretty(&schema_for!(V)).unwrap() + "\n";
    if std::env::var_os("UPDATE").is_some() {
        fs::write(&path, &made).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(kept == made, "{} is stale: run the tests once with UPDATE=1", path.display());
}

#[test]
fn the_published_schemas_are_fresh() {
    hold::<super::plan::PlansView>("plan");
    hold::<super::judgement::JudgementView>("check");
    hold::<super::boards::BoardListView>("boards");
    hold::<super::boards::BoardView>("board");
    hold::<super::modules::ModuleListView>("modules");
    hold::<super::explain::RuleListView>("rules");
    hold::<super::explain::RuleView>("rule");
    hold::<super::explain_sign::SignPageView>("sign");
    hold::<super::read::ReadView>("read");
    hold::<super::demo::DemoView>("demo");
    hold::<super::sheet::SheetView>("sheet");
    hold::<super::compare::CompareView>("compare");
    hold::<super::draft::DraftView>("draft");
    hold::<super::diagnose::DiagnoseView>("diagnose");
    hold::<super::measure::MeasureView>("measure");
    hold::<super::exercise::ExerciseView>("exercise");
    hold::<super::exercise::ListView>("exercises");
    hold::<super::spares::SparesView>("spares");
    hold::<super::watts::WattsView>("watts");
    hold::<super::shop::stock::ShelfView>("stock");
    hold::<super::shop::worth::WorthView>("stock-value");
    hold::<super::shop::stock::ItemListView>("stock-items");
    hold::<super::shop::stock::ItemCloselyView>("stock-item");
    hold::<super::shop::stock::IntakeView>("stock-intake");
    hold::<super::shop::intake::ScreenedView>("stock-screened");
    hold::<super::shop::count::CountView>("stock-count");
    hold::<super::shop::quote::QuoteListView>("quotes");
    hold::<super::shop::quote::QuoteCloselyView>("quote");
    hold::<super::shop::order::OrderListView>("orders");
    hold::<super::shop::order::OrderCloselyView>("order");
    hold::<super::shop::allocate::AllocationView>("allocation");
    hold::<super::shop::accept::AcceptedView>("allocation-accepted");
    hold::<super::shop::order_acts::PickedView>("order-picked");
    hold::<super::shop::order_acts::SwappedView>("order-swapped");
    hold::<super::shop::prices::PriceListView>("quote-prices");
    hold::<super::shop::prices::PricesTakenView>("quote-prices-taken");
    hold::<super::shop::prices::MarginView>("quote-margin");
    hold::<super::shop::prices::MarginListView>("quote-margins");
    hold::<super::shop::prices::ListsView>("quote-price-lists");
    hold::<super::shop::quote_make::QuoteMadeView>("quote-made");
    hold::<super::shop::settings::SettingsView>("store-settings");
    hold::<super::shop::token::TokenListView>("store-tokens");
    hold::<super::shop::token::NewTokenView>("store-token-new");
    hold::<super::shop::keep::StoreView>("store");
    hold::<super::shop::invented::InventedView>("store-invented");
    hold::<super::shop::supplier::BatchListView>("supplier-batches");
    hold::<super::shop::supplier::RatesView>("supplier-rates");
    hold::<super::shop::supplier::FailureListView>("supplier-failures");
    hold::<super::shop::evidence::AttachmentListView>("attachments");
}
