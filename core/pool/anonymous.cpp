#include "core/pool/anonymous.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "core/base/digest.hpp"

namespace nestcup::pooled {
namespace {

constexpr std::size_t letters = 26;

/// A, B, ... Z, AA, AB, ...
std::string letter_name(std::size_t number) {
  std::string name;
  for (std::size_t rest = number + 1; rest > 0; rest = (rest - 1) / letters) {
    name.insert(name.begin(), static_cast<char>('A' + (rest - 1) % letters));
  }
  return name;
}

/// What each bench is known by without its name: its runs' ids, which are random.
std::map<std::string, std::string> digests_of(const Collected& collected) {
  std::map<std::string, std::set<std::string>> ids;
  for (const SheetBenches& sheet : collected.sheets) {
    for (const ClassBench& bench : sheet.benches) {
      auto& own = ids[bench.name];
      for (const ClassRun& run : bench.runs) own.insert(run.facts.id);
      // A bench on paper has no ids: the text that it wrote.
      if (bench.runs.empty()) own.insert(bench.sheet->text);
    }
  }
  std::map<std::string, std::string> digests;
  for (const auto& [name, own] : ids) {
    std::string all = name;
    for (const std::string& id : own) all += "\n" + id;
    digests[name] = sha256_hex(all);
  }
  return digests;
}

void rename(ClassBench& bench, const std::string& letter) {
  bench.name = letter;
  int number = 0;
  for (ClassRun& run : bench.runs) {
    run.label = fmt::format("run {}", ++number);
    run.facts.id = run.label;
  }
  for (LeftOutRun& run : bench.left_out) {
    run.label = fmt::format("run {}", ++number);
    if (run.why == "struck out") run.reason.clear();
  }
}

}  // namespace

void take_names_away(Collected& collected) {
  const auto digests = digests_of(collected);
  std::map<std::string, std::string> by_digest;
  for (const auto& [name, digest] : digests) by_digest[digest] = name;
  std::map<std::string, std::string> letter_of;
  for (const auto& [digest, name] : by_digest) {
    letter_of[name] = letter_name(letter_of.size());
  }
  for (SheetBenches& sheet : collected.sheets) {
    std::stable_sort(sheet.benches.begin(), sheet.benches.end(),
                     [&](const ClassBench& a, const ClassBench& b) {
                       return digests.at(a.name) < digests.at(b.name);
                     });
    for (ClassBench& bench : sheet.benches) rename(bench, letter_of.at(bench.name));
  }
  int number = 0;
  for (LeftOutRun& run : collected.nowhere) {
    run.label = fmt::format("run {}", ++number);
    if (run.why == "struck out") run.reason.clear();
  }
  collected.notes.clear();
}

}  // namespace nestcup::pooled
