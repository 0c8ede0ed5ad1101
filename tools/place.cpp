#include "tools/place.hpp"

#include <fmt/format.h>

#include "core/sheet/sheet_file.hpp"

namespace nestcup {
namespace {

constexpr const char* usual_bench = "bench.toml";

}  // namespace

cli::OptionSpec bench_option() {
  return {.name = "bench",
          .value_name = "FILE",
          .help = "the bench file; without it bench.toml in this folder",
          .complete = {cli::Hint::file}};
}

std::vector<cli::OptionSpec> store_options() {
  return {bench_option(),
          {.name = "store",
           .value_name = "DB",
           .help = "a store, instead of the bench's",
           .complete = {cli::Hint::file}}};
}

cli::OptionSpec json_option() {
  return {.name = "json", .help = "print JSON for scripts"};
}

Result<BenchFile> chosen_bench(const cli::Parsed& parsed) {
  const auto given = parsed.text("bench");
  BenchFileCheck check = read_bench_file(given.value_or(usual_bench));
  if (check.problems.empty() && check.bench) return std::move(*check.bench);
  Error first = check.problems.empty() ? Error{Fault::bad_configuration, "bench file unreadable"}
                                       : check.problems.front();
  if (!given && first.kind == Fault::no_input) {
    first.text = "no bench.toml in this folder; name the bench with --bench FILE";
  }
  if (check.problems.size() > 1) {
    first.text += fmt::format(" (and {} more: see nestcupd --check)", check.problems.size() - 1);
  }
  return first;
}

cli::OptionSpec sheet_option() {
  return {.name = "sheet",
          .value_name = "FILE",
          .help = "the sheet; without it the bench's",
          .complete = {cli::Hint::file}};
}

Result<std::optional<Sheet>> chosen_sheet(const cli::Parsed& parsed) {
  std::string path = parsed.text("sheet").value_or("");
  if (path.empty() && !parsed.text("store") && !(parsed.knows("from") && parsed.text("from"))) {
    const auto bench = chosen_bench(parsed);
    if (!bench) return bench.error();
    path = bench->sheet;
  }
  if (path.empty()) return std::optional<Sheet>{};
  auto sheet = read_sheet(path);
  if (!sheet) return sheet.error();
  return std::optional<Sheet>(std::move(sheet).value());
}

Result<std::string> chosen_store_path(const cli::Parsed& parsed) {
  const auto store = parsed.text("store");
  if (store && parsed.text("bench")) {
    return Error{Fault::usage, "--store and --bench together: give one of them"};
  }
  if (store) return *store;
  const auto bench = chosen_bench(parsed);
  if (!bench) return bench.error();
  return bench->store;
}

Result<Store> chosen_store(const cli::Parsed& parsed) {
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  return Store::open(*path, StoreMode::read);
}

}  // namespace nestcup
