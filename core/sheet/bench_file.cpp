#include "core/sheet/bench_file.hpp"

#include <algorithm>

#include "core/sheet/bench_parts.hpp"

namespace nestcup {

namespace {

/// [bench] with its defaults, or a problem where there is none.
/// @return whether it says that there is a page, as far as can be known
bool read_bench(TomlSection& file, BenchFile& bench) {
  if (auto section = file.table("bench")) {
    const bool has_page = section->has("listen");
    read_bench_table(std::move(*section), bench);
    return has_page;
  }
  if (!file.has("bench")) {
    file.problem("[bench] is missing, expected at least its name, such as name = \"bench-4\"");
  }
  return true;
}

void read_ports(TomlSection& file, BenchFile& bench) {
  std::vector<TomlSection> sections = file.tables("port");
  if (!file.has("port")) file.problem("[[port]] is missing, expected at least one");
  for (TomlSection& section : sections) {
    bench.ports.push_back(read_port(section, bench.interval_s));
  }
  check_ports(sections, bench.ports);
}

void read_probes(TomlSection& file, BenchFile& bench) {
  std::vector<TomlSection> sections = file.tables("probe");
  for (TomlSection& section : sections) bench.probes.push_back(read_probe(section, bench.ports));
  check_probes(file, sections, bench);
  std::stable_partition(bench.probes.begin(), bench.probes.end(),
                        [](const ProbeSettings& probe) { return probe.role != ProbeRole::other; });
}

}  // namespace

std::size_t run_probes(const BenchFile& bench) {
  return static_cast<std::size_t>(std::ranges::count_if(
      bench.probes, [](const ProbeSettings& probe) { return probe.role != ProbeRole::other; }));
}

BenchFileCheck parse_bench_file(const std::string& text, const std::string& path) {
  ProblemList problems(path, Fault::bad_configuration);
  const auto tables = parse_toml(text, problems);
  if (!tables) return {std::nullopt, problems.in_order()};
  TomlSection file(*tables, "", problems);
  BenchFile bench;
  bench.path = path;
  const bool has_page = read_bench(file, bench);
  if (auto section = file.table("page")) {
    bench.page = read_page_table(std::move(*section), has_page);
  }
  read_ports(file, bench);
  read_probes(file, bench);
  for (TomlSection& section : file.tables("notebook")) {
    bench.notebooks.push_back(read_notebook(section, path));
  }
  if (auto section = file.table("class")) bench.class_place = read_class(*section, path);
  file.refuse_other_keys();
  if (!problems.empty()) return {std::nullopt, problems.in_order()};
  return {std::move(bench), {}};
}

BenchFileCheck read_bench_file(const std::string& path) {
  const auto text = file_bytes(path);
  if (!text) return {std::nullopt, {text.error()}};
  return parse_bench_file(*text, path);
}

}  // namespace nestcup
