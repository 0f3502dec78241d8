//! NUMA nodes and their processors, from `/sys` (Linux kernel, Documentation/ABI/stable/sysfs-devices-node); pinning.

use std::fs;

/// A NUMA node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    pub number: u32,
    /// Processors that this program may use, by the kernel's number.
    pub processors: Vec<usize>,
    /// Has it memory?
    pub memory: bool,
}

/// Processors that can be told apart in a mask.
const MOST: usize = 1024;

/// All nodes in order; one, with every usable processor, where the kernel tells of none.
pub fn nodes() -> Vec<Node> {
    let usable = usable();
    let folder = "/sys/devices/system/node";
    let text = |path: String| fs::read_to_string(path).unwrap_or_default();
    let with_memory = list(&text(format!("{folder}/has_memory")));
    let mut nodes: Vec<Node> = list(&text(format!("{folder}/online")))
        .into_iter()
        .map(|number| {
            let own = list(&text(format!("{folder}/node{number}/cpulist")));
            let processors = own.into_iter().filter(|p| usable.contains(p)).collect();
            Node { number: number as u32, processors, memory: with_memory.contains(&number) }
        })
        .collect();
    if nodes.iter().all(|n| n.processors.is_empty()) || !nodes.iter().any(|n| n.memory) {
        nodes = vec![Node { number: 0, processors: usable, memory: true }];
    }
    nodes
}

/// `0-3,8` → the numbers.
fn list(text: &str) -> Vec<usize> {
    let mut all = Vec::new();
    for part in text.trim().split(',').filter(|p| !p.is_empty()) {
        let (first, last) = part.split_once('-').unwrap_or((part, part));
        if let (Ok(first), Ok(last)) = (first.parse::<usize>(), last.parse::<usize>()) {
            all.extend(first..=last.min(first.saturating_add(MOST * 8)));
        }
    }
    all
}

/// Processors that this program may use.
fn usable() -> Vec<usize> {
    // SAFETY: a set of processors is plain bits, for which zero is a value; the call fills in at most its size.
    let (done, set) = unsafe {
        let mut set: libc::cpu_set_t = std::mem::zeroed();
        (libc::sched_getaffinity(0, size_of::<libc::cpu_set_t>(), &raw mut set), set)
    };
    let found: Vec<usize> = if done == 0 {
        // SAFETY: the number is below the bits of a set.
        (0..MOST).filter(|p| unsafe { libc::CPU_ISSET(*p, &set) }).collect()
    } else {
        Vec::new()
    };
    if found.is_empty() { (0..std::thread::available_parallelism().map_or(1, |n| n.get())).collect() } else { found }
}

/// Keeps the calling thread on one processor; says whether the kernel did.
pub fn pin(processor: usize) -> bool {
    if processor >= MOST {
        return false;
    }
    // SAFETY: as in `usable`; the processor is below the bits of a set.
    unsafe {
        let mut set: libc::cpu_set_t = std::mem::zeroed();
        libc::CPU_SET(processor, &mut set);
        libc::sched_setaffinity(0, size_of::<libc::cpu_set_t>(), &raw const set) == 0
    }
}

/// Bytes of the largest cache that the kernel tells of; `None` where it tells of none. A virtual machine may be told of its
/// host's whole cache.
pub fn last_cache() -> Option<usize> {
    let size = |index: usize| {
        let text = fs::read_to_string(format!("/sys/devices/system/cpu/cpu0/cache/index{index}/size")).ok()?;
        let text = text.trim();
        match (text.strip_suffix('K'), text.strip_suffix('M')) {
            (Some(k), _) => Some(k.parse::<usize>().ok()? << 10),
            (_, Some(m)) => Some(m.parse::<usize>().ok()? << 20),
            _ => text.parse().ok(),
        }
    };
    (0..8).filter_map(size).max()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_of_numbers_are_read() {
        assert_eq!(list("0-3,8,10-11\n"), [0, 1, 2, 3, 8, 10, 11]);
        assert_eq!(list(""), [0usize; 0]);
        assert_eq!(list("x,3-y,4"), [4]);
    }

    #[test]
    fn this_machine_has_a_node_that_can_be_used() {
        let nodes = nodes();
        let processor = nodes.iter().find_map(|n| n.processors.first()).copied();
        assert!(nodes.iter().any(|n| n.memory));
        let pinned = std::thread::spawn(move || processor.is_some_and(pin)).join();
        assert!(pinned.is_ok_and(|p| p));
        assert!(!pin(MOST));
    }
}
