//! The machine that is measured on, and what a process used of it, as Linux tells it under `/proc`.

use std::process::Command;

/// Peak memory of this process (KiB): `VmHWM` of `/proc/self/status`.
///
/// # Errors
/// A sentence, where there is no such file or line.
pub fn peak_kib() -> Result<f64, String> {
    let status = read("/proc/self/status")?;
    high_water_mark(&status).ok_or_else(|| "no VmHWM in /proc/self/status".into())
}

/// Processor time of this process so far, all threads (ticks): user and system of `/proc/self/stat`.
///
/// # Errors
/// A sentence, where there is no such file or number.
pub fn cpu_ticks() -> Result<u64, String> {
    ticks(&read("/proc/self/stat")?).ok_or_else(|| "no times in /proc/self/stat".into())
}

/// Ticks of that clock in a second, asked of `getconf`; 100, as on every common Linux, where it is missing.
pub fn ticks_per_second() -> f64 {
    first_line("getconf", &["CLK_TCK"])
        .and_then(|text| text.parse().ok())
        .unwrap_or(100.0)
}

/// The machine and the tools, one line each.
pub fn describe(unit: &str) -> Vec<String> {
    let told = |name: &str, text: Option<String>| {
        format!("{name}: {}", text.unwrap_or_else(|| "not found".into()))
    };
    let processor = read("/proc/cpuinfo").ok().map(|text| processor(&text));
    let kernel = read("/proc/sys/kernel/osrelease")
        .ok()
        .map(|text| text.trim().to_owned());
    let numpy = "import sys, numpy; print(sys.version.split()[0] + ', numpy ' + numpy.__version__)";
    vec![
        told("processor", processor),
        told("kernel", kernel),
        told("rustc", first_line("rustc", &["--version"])),
        told("python", first_line("python3", &["-c", numpy])),
        format!("vector unit: {unit}"),
        format!("tick of processor time: {} ms", 1000.0 / ticks_per_second()),
    ]
}

fn read(path: &str) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|error| format!("{path}: {error}"))
}

/// The first line that a command prints, when it works.
fn first_line(command: &str, arguments: &[&str]) -> Option<String> {
    let output = Command::new(command).args(arguments).output().ok()?;
    let text = String::from_utf8(output.stdout).ok()?;
    let line = text.lines().next()?.trim();
    (output.status.success() && !line.is_empty()).then(|| line.to_owned())
}

fn high_water_mark(status: &str) -> Option<f64> {
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}

/// Fields 14 and 15, counted from the end of the name, which may hold spaces and brackets.
fn ticks(stat: &str) -> Option<u64> {
    let after_name = &stat[stat.rfind(')')? + 1..];
    let mut fields = after_name.split_whitespace().skip(11);
    let user: u64 = fields.next()?.parse().ok()?;
    let system: u64 = fields.next()?.parse().ok()?;
    Some(user + system)
}

/// Model, number of processors and the vector flags that matter here.
fn processor(cpuinfo: &str) -> String {
    let values = |key: &'static str| {
        cpuinfo.lines().filter_map(move |line| {
            let (name, value) = line.split_once(':')?;
            (name.trim() == key).then(|| value.trim())
        })
    };
    let flags = values("flags").next().unwrap_or("");
    let known = [
        "sse2", "avx", "avx2", "fma", "avx512f", "avx512dq", "avx512vl", "avx512bw", "avx512cd",
    ];
    let seen: Vec<&str> = known
        .into_iter()
        .filter(|flag| flags.split(' ').any(|f| f == *flag))
        .collect();
    format!(
        "{}, {} processors, {}",
        values("model name").next().unwrap_or("model not told"),
        values("processor").count(),
        seen.join(" ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn peak_memory_is_read_from_the_status() {
        assert_eq!(
            high_water_mark("Name:\tx\nVmPeak:\t  9000 kB\nVmHWM:\t   7124 kB\n"),
            Some(7124.0)
        );
        assert_eq!(high_water_mark("Name:\tx\n"), None);
    }

    #[test]
    fn times_are_read_behind_a_name_with_brackets() {
        let stat = "42 (a b) c) S 1 42 42 0 -1 4194304 100 0 0 0 250 17 0 0 20 0 3 0 5000 1 2";
        assert_eq!(ticks(stat), Some(267));
        assert_eq!(ticks("42 (a"), None);
    }

    #[test]
    fn the_processor_is_summed_up() {
        let text = "processor\t: 0\nmodel name\t: Some Processor\nflags\t\t: fpu sse2 avx2 fma avx512vl_x\n\
            processor\t: 1\nmodel name\t: Some Processor\n";
        assert_eq!(
            processor(text),
            "Some Processor, 2 processors, sse2 avx2 fma"
        );
    }
}
