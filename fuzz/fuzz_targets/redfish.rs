//! Redfish: any bytes as a document, and as each of the resources that a service's walk comes upon.
#![no_main]

use libfuzzer_sys::fuzz_target;
use readers::redfish::{self, Kept};

fuzz_target!(|data: &[u8]| {
    if let Err(error) = redfish::read_one(data) {
        assert!(!error.hint().is_empty());
    }
    // The first byte says which resource of a service is the odd one.
    let Some((pick, text)) = data.split_first() else { return };
    let mut kept = Kept::default();
    let whole = [
        ("/redfish/v1", r#"{"Systems":{"@odata.id":"/redfish/v1/Systems"}}"#),
        ("/redfish/v1/Systems", r#"{"Members":[{"@odata.id":"/redfish/v1/Systems/1"}]}"#),
        (
            "/redfish/v1/Systems/1",
            r#"{"Id":"1","Memory":{"@odata.id":"/redfish/v1/Systems/1/Memory"},"Processors":{"@odata.id":"/redfish/v1/p"}}"#,
        ),
        ("/redfish/v1/Systems/1/Memory", r#"{"Members":[{"@odata.id":"/redfish/v1/m"}]}"#),
        ("/redfish/v1/m", r#"{"Id":"m","CapacityMiB":16384,"Metrics":{"@odata.id":"/redfish/v1/c"}}"#),
        ("/redfish/v1/c", r#"{"LifeTime":{"CorrectableECCErrorCount":1}}"#),
        ("/redfish/v1/p", r#"{"Members":[{"Id":"c","ProcessorType":"CPU"}]}"#),
    ];
    let odd = usize::from(*pick) % whole.len();
    for (index, (path, plain)) in whole.into_iter().enumerate() {
        kept.hold(path, if index == odd { text } else { plain.as_bytes() });
    }
    let _ = redfish::read(&mut kept);
});
