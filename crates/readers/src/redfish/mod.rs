//! Redfish resources (DMTF DSP0266), from a service or a saved tree.
