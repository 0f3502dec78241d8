//! What a measured bandwidth that falls short suggests.

use domain::DataRate;
use engine::{Scene, notation, shortfall::suggestions};

#[test]
fn a_missing_channel_is_named_where_its_share_fits() {
    let text = "machine DDR4 2 sockets x 4 controllers x 2 channels x 2 slots\nfill **1 32GB 2Rx4 RDIMM";
    let build = notation::parse(text).unwrap().build;
    let scene = Scene::new(&build);
    let rate = DataRate::from_mts(2933);
    assert!(suggestions(&scene, rate, 0.95, 2).is_empty());
    let fifteen = suggestions(&scene, rate, 0.90, 2);
    assert!(fifteen[0].fits && fifteen[0].what.starts_with("one channel is missing"), "{fifteen:?}");
    let half = suggestions(&scene, rate, 0.5, 2);
    assert!(half[0].fits && half[0].what.contains("one of 2 sockets"), "{half:?}");
    // Nothing that is known leaves a tenth; all is told, none fits.
    let tenth = suggestions(&scene, rate, 0.1, 2);
    assert!(!tenth.is_empty() && tenth.iter().all(|s| !s.fits));
}
