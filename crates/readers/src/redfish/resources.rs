//! The resources that are read, with the properties that matter here (DMTF DSP0268). Every one may be missing or null.

use super::loose::{Branch, Flag, List, Number, Object, OfMembers, Present, Text};
use serde::Deserialize;

/// A link to another resource.
#[derive(Debug, Default, Deserialize)]
#[serde(default, bound(deserialize = "'de: 'a"))]
pub struct Link<'a> {
    #[serde(rename = "@odata.id")]
    pub id: Text<'a>,
}

/// What a resource is, without its contents.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Head<'a> {
    #[serde(rename = "@odata.id")]
    pub id: Text<'a>,
    #[serde(rename = "@odata.type")]
    pub kind: Text<'a>,
    pub systems: Present,
    pub redfish_version: Present,
    pub members: Present,
    pub memory: Present,
    pub memory_summary: Present,
    #[serde(rename = "CapacityMiB")]
    pub capacity: Present,
    pub memory_device_type: Present,
    pub memory_type: Present,
    pub base_module_type: Present,
    pub memory_location: Present,
    #[serde(rename = "error")]
    pub error: Object<Complaint<'a>>,
}

/// What a service answers in place of a resource.
#[derive(Debug, Default, Deserialize)]
#[serde(default, bound(deserialize = "'de: 'a"))]
pub struct Complaint<'a> {
    pub message: Text<'a>,
    pub code: Text<'a>,
}

/// The start of a service.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct ServiceRoot<'a> {
    pub systems: Branch<Collection<'a, System<'a>>>,
    pub protocol_features_supported: Object<Features>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct Features {
    pub expand_query: Object<Expand>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct Expand {
    pub no_links: Flag,
    pub levels: Flag,
}

/// A page of a collection.
#[derive(Debug, Deserialize)]
#[serde(default, bound(deserialize = "'de: 'a, M: Deserialize<'de>"))]
pub struct Collection<'a, M> {
    #[serde(rename = "@odata.id")]
    pub id: Text<'a>,
    #[serde(rename = "Members")]
    pub members: List<M>,
    #[serde(rename = "Members@odata.nextLink")]
    pub next: Text<'a>,
    #[serde(rename = "@odata.nextLink")]
    pub next_bare: Text<'a>,
    #[serde(rename = "Members@odata.count")]
    pub count: Number,
}

impl<M> Default for Collection<'_, M> {
    fn default() -> Self {
        Self::of_members(Vec::new())
    }
}
impl<M> OfMembers for Collection<'_, M> {
    type Member = M;
    fn of_members(members: Vec<M>) -> Self {
        Self {
            id: Text::default(),
            members: List(members),
            next: Text::default(),
            next_bare: Text::default(),
            count: Number::default(),
        }
    }
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Status<'a> {
    pub state: Text<'a>,
    pub health: Text<'a>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Place<'a> {
    pub part_location: Object<PartLocation<'a>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct PartLocation<'a> {
    pub service_label: Text<'a>,
}

/// One computer system.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct System<'a> {
    #[serde(rename = "@odata.id")]
    pub odata_id: Text<'a>,
    pub id: Text<'a>,
    pub manufacturer: Text<'a>,
    pub model: Text<'a>,
    pub bios_version: Text<'a>,
    pub memory_summary: Object<MemorySummary>,
    pub memory: Branch<Collection<'a, Memory<'a>>>,
    pub processors: Branch<Collection<'a, Processor<'a>>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct MemorySummary {
    #[serde(rename = "TotalSystemMemoryGiB")]
    pub total: Number,
}

/// One processor, of whatever sort.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Processor<'a> {
    #[serde(rename = "@odata.id")]
    pub odata_id: Text<'a>,
    pub id: Text<'a>,
    pub name: Text<'a>,
    pub socket: Text<'a>,
    pub location: Object<Place<'a>>,
    pub processor_type: Text<'a>,
    pub model: Text<'a>,
    pub version: Text<'a>,
    pub processor_id: Object<ProcessorId<'a>>,
    pub total_cores: Number,
    pub status: Object<Status<'a>>,
    pub links: Object<ProcessorLinks<'a>>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct ProcessorId<'a> {
    pub effective_family: Text<'a>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct ProcessorLinks<'a> {
    pub memory: List<Link<'a>>,
}

/// One memory resource: a slot with what it holds, or memory without a slot.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Memory<'a> {
    #[serde(rename = "@odata.id")]
    pub odata_id: Text<'a>,
    pub id: Text<'a>,
    pub name: Text<'a>,
    pub device_locator: Text<'a>,
    pub location: Object<Place<'a>>,
    pub memory_location: Object<MemoryLocation>,
    pub status: Object<Status<'a>>,
    pub enabled: Flag,
    #[serde(rename = "CapacityMiB")]
    pub capacity: Number,
    #[serde(rename = "VolatileSizeMiB")]
    pub volatile_size: Number,
    #[serde(rename = "NonVolatileSizeMiB")]
    pub nonvolatile_size: Number,
    #[serde(rename = "PersistentRegionSizeLimitMiB")]
    pub persistent_limit: Number,
    #[serde(rename = "OperatingSpeedMhz")]
    pub speed: Number,
    #[serde(rename = "OperatingSpeedMHz")]
    pub speed_other_case: Number,
    #[serde(rename = "AllowedSpeedsMHz")]
    pub speeds: List<Number>,
    pub memory_device_type: Text<'a>,
    pub memory_type: Text<'a>,
    pub base_module_type: Text<'a>,
    pub memory_media: List<Text<'a>>,
    pub operating_memory_modes: List<Text<'a>>,
    pub memory_classification: Text<'a>,
    pub regions: List<Object<Region<'a>>>,
    #[serde(rename = "BusWidthBits")]
    pub bus_width: Number,
    #[serde(rename = "DataWidthBits")]
    pub data_width: Number,
    pub rank_count: Number,
    pub error_correction: Text<'a>,
    pub manufacturer: Text<'a>,
    #[serde(rename = "ModuleManufacturerID")]
    pub manufacturer_id: Text<'a>,
    pub part_number: Text<'a>,
    pub serial_number: Text<'a>,
    pub links: Object<MemoryLinks<'a>>,
    pub metrics: Object<Link<'a>>,
    #[serde(rename = "CXL")]
    pub cxl: Present,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct MemoryLocation {
    pub socket: Number,
    pub memory_controller: Number,
    pub channel: Number,
    pub slot: Number,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct Region<'a> {
    pub memory_classification: Text<'a>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase", bound(deserialize = "'de: 'a"))]
pub struct MemoryLinks<'a> {
    pub processors: List<Link<'a>>,
}

/// What a memory resource counts while it runs.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct MemoryMetrics {
    #[serde(rename = "OperatingSpeedMHz")]
    pub speed: Number,
    pub life_time: Object<Counts>,
    pub current_period: Object<Counts>,
    pub health_data: Object<HealthData>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Counts {
    #[serde(rename = "CorrectableECCErrorCount")]
    pub corrected: Number,
    #[serde(rename = "UncorrectableECCErrorCount")]
    pub uncorrected: Number,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct HealthData {
    pub alarm_trips: Object<AlarmTrips>,
    pub data_loss_detected: Flag,
}

#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "PascalCase")]
pub struct AlarmTrips {
    pub address_parity_error: Flag,
    #[serde(rename = "CorrectableECCError")]
    pub corrected: Flag,
    #[serde(rename = "UncorrectableECCError")]
    pub uncorrected: Flag,
    pub temperature: Flag,
}

/// Is there more than a link?
pub trait Expanded {
    fn link(&self) -> &Text<'_>;
    fn expanded(&self) -> bool;
}
impl Expanded for System<'_> {
    fn link(&self) -> &Text<'_> {
        &self.odata_id
    }
    fn expanded(&self) -> bool {
        self.id.said().is_some() || self.memory.0.id.said().is_some() || !self.memory.0.members.0.is_empty()
    }
}
impl Expanded for Processor<'_> {
    fn link(&self) -> &Text<'_> {
        &self.odata_id
    }
    fn expanded(&self) -> bool {
        self.id.said().is_some() || self.processor_type.said().is_some() || self.name.said().is_some()
    }
}
impl Expanded for Memory<'_> {
    fn link(&self) -> &Text<'_> {
        &self.odata_id
    }
    fn expanded(&self) -> bool {
        let named = self.id.said().or(self.name.said()).or(self.device_locator.said());
        named.or(self.memory_type.said()).or(self.memory_device_type.said()).is_some()
            || self.capacity.value().is_some()
    }
}
