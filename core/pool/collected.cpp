#include "core/pool/collected.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>

#include "core/base/digest.hpp"
#include "core/pool/found_run.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup::pooled {
namespace {

using SheetPointer = std::shared_ptr<const Sheet>;

/// Where one bench's runs of one sheet are put together.
struct Pile {
  const Place* place = nullptr;
  std::string bench;  ///< as the records have it
  std::string title;
  SheetPointer sheet;
  std::vector<FoundRun> runs;
};

bool has_paper_runs(const Sheet& sheet) {
  return std::any_of(sheet.trials.begin(), sheet.trials.end(),
                     [](const SheetTrial& trial) { return !trial.typed.empty(); });
}

/// What people call a place: its last folder or file.
std::string short_name(const Place& place) {
  std::error_code code;
  const auto path = std::filesystem::weakly_canonical(place.path, code);
  return path.filename().string();
}

/// Sorts runs of all places into piles.
class Sorting {
 public:
  Sorting(const std::vector<Place>& places, SheetPointer for_all)
      : places_(places), for_all_(std::move(for_all)) {
    for (const Place& place : places_) {
      for (const StoredSheet& sheet : place.sheets) texts_.emplace(sheet.sha256, &sheet);
    }
  }

  Result<void> sort() {
    count_newest();
    for (const Place& place : places_) {
      for (const FoundRun& run : place.runs) {
        if (auto sorted = sort(run, place); !sorted) return sorted;
      }
      if (auto added = add_paper(place); !added) return added;
    }
    return {};
  }

  std::vector<Pile> piles;
  std::vector<LeftOutRun> nowhere;

 private:
  /// A run may come several times: from a store and from its notebook.
  void count_newest() {
    for (const Place& place : places_) {
      for (const FoundRun& run : place.runs) {
        int& newest = newest_[run.id];
        newest = std::max(newest, run.revision);
      }
    }
  }

  Result<void> sort(const FoundRun& run, const Place& place) {
    if (run.revision < newest_[run.id] || !taken_.insert(run.id).second) return {};
    auto sheet = sheet_for(run, place);
    if (!sheet) return sheet.error();
    if (!*sheet) {
      const std::string why = run.sheet_title.empty() ? "its record names no sheet"
                                                      : "its sheet is not kept where it comes from";
      nowhere.push_back({run.label, run.trial, run.why.empty() ? why : run.why, run.reason});
      return {};
    }
    pile_for(run.bench, place, *sheet).runs.push_back(run);
    return {};
  }

  /// A place with nothing but a sheet with runs on paper is a bench, too.
  Result<void> add_paper(const Place& place) {
    if (for_all_ || !place.runs.empty()) return {};
    auto sheet = own_sheet(place);
    if (!sheet) return sheet.error();
    if (*sheet && has_paper_runs(**sheet)) pile_for("", place, *sheet);
    return {};
  }

  /// The sheet.toml of a place, if any. Places of one class may have the same.
  Result<SheetPointer> own_sheet(const Place& place) {
    if (place.sheet_path.empty()) return SheetPointer{};
    const auto text = file_bytes(place.sheet_path);
    if (!text) return text.error();
    return parsed(sha256_hex(*text), *text, place.sheet_path);
  }

  Pile& pile_for(const std::string& bench, const Place& place, const SheetPointer& sheet) {
    const auto known = std::find_if(piles.begin(), piles.end(), [&](const Pile& pile) {
      return pile.place == &place && pile.bench == bench && pile.title == sheet->title;
    });
    if (known != piles.end()) return *known;
    return piles.emplace_back(Pile{&place, bench, sheet->title, sheet, {}});
  }

  /// The sheet for all; else the newest text of the title that the run names, as its place keeps
  /// it; else the sheet that lies there; else the same text at another place.
  Result<SheetPointer> sheet_for(const FoundRun& run, const Place& place) {
    if (for_all_) return for_all_;
    const StoredSheet* kept = nullptr;
    for (const StoredSheet& sheet : place.sheets) {
      if (!run.sheet_title.empty() && sheet.title == run.sheet_title) kept = &sheet;
    }
    if (kept == nullptr) {
      auto own = own_sheet(place);
      if (!own) return own.error();
      if (*own && (run.sheet_title.empty() || run.sheet_title == (*own)->title)) return own;
      const auto elsewhere = texts_.find(run.sheet_sha256);
      if (elsewhere == texts_.end()) return SheetPointer{};
      kept = elsewhere->second;
    }
    return parsed(kept->sha256, kept->text, place.path + ": sheet " + kept->sha256.substr(0, 8));
  }

  Result<SheetPointer> parsed(const std::string& sha256, const std::string& text,
                              const std::string& name) {
    SheetPointer& known = parsed_[sha256];
    if (known) return known;
    auto sheet = parse_sheet(text, name);
    if (!sheet) return sheet.error();
    return known = std::make_shared<const Sheet>(std::move(sheet).value());
  }

  const std::vector<Place>& places_;
  SheetPointer for_all_;
  std::map<std::string, const StoredSheet*> texts_;
  std::map<std::string, SheetPointer> parsed_;
  std::map<std::string, int> newest_;
  std::set<std::string> taken_;
};

std::string plain_name(const Pile& pile) {
  return pile.bench.empty() ? short_name(*pile.place) : pile.bench;
}

/// Names that tell benches apart: the record's; with the place where several places have it.
std::vector<std::string> names_of(const std::vector<Pile>& piles, std::vector<std::string>& notes) {
  std::map<std::string, std::set<const Place*>> places;
  for (const Pile& pile : piles) places[plain_name(pile)].insert(pile.place);
  for (const auto& [name, from] : places) {
    if (from.size() < 2) continue;
    notes.push_back(
        fmt::format("The name {} comes from {} places: it counts as so many benches, each named "
                    "with its place.",
                    name, from.size()));
  }
  std::vector<std::string> names;
  for (const Pile& pile : piles) {
    const std::string name = plain_name(pile);
    names.push_back(
        places[name].size() < 2 ? name : fmt::format("{} ({})", name, short_name(*pile.place)));
  }
  // Places of one short name: the whole path, then.
  for (std::size_t i = 0; i < piles.size(); ++i) {
    const bool twice = std::any_of(piles.begin(), piles.end(), [&](const Pile& other) {
      const std::size_t j = static_cast<std::size_t>(&other - piles.data());
      return j != i && other.title == piles[i].title && other.place != piles[i].place &&
             plain_name(other) == plain_name(piles[i]) &&
             short_name(*other.place) == short_name(*piles[i].place);
    });
    if (twice) names[i] = fmt::format("{} ({})", plain_name(piles[i]), piles[i].place->path);
  }
  return names;
}

/// "bench-9" before "bench-10": runs of digits count as numbers.
bool comes_before(const std::string& a, const std::string& b) {
  const auto is_digit = [](char letter) { return letter >= '0' && letter <= '9'; };
  const auto number_at = [&](const std::string& text, std::size_t at) {
    std::size_t end = at;
    while (end < text.size() && is_digit(text[end])) ++end;
    const std::size_t begin = std::min(text.find_first_not_of('0', at), end);
    return std::pair(text.substr(begin, end - begin), end);
  };
  std::size_t i = 0, j = 0;
  while (i < a.size() && j < b.size()) {
    if (is_digit(a[i]) && is_digit(b[j])) {
      const auto [left, left_end] = number_at(a, i);
      const auto [right, right_end] = number_at(b, j);
      if (left.size() != right.size()) return left.size() < right.size();
      if (left != right) return left < right;
      i = left_end;
      j = right_end;
    } else {
      if (a[i] != b[j]) return a[i] < b[j];
      ++i;
      ++j;
    }
  }
  return a.size() - i < b.size() - j;
}

ClassBench bench_of(Pile& pile, const std::string& name) {
  ClassBench bench{name, pile.sheet, {}, {}};
  for (FoundRun& run : pile.runs) {
    if (!run.run) {
      bench.left_out.push_back({run.label, run.trial, run.why, run.reason});
    } else if (pile.sheet->find(run.trial) == nullptr) {
      bench.left_out.push_back(
          {run.label, run.trial,
           run.trial.empty() ? "given to no trial" : "of a trial that the sheet does not have",
           ""});
    } else {
      bench.runs.push_back(std::move(*run.run));
    }
  }
  return bench;
}

Result<SheetPointer> sheet_for_all(const std::optional<std::string>& path,
                                   std::vector<std::string>& notes) {
  if (!path) return SheetPointer{};
  auto sheet = read_sheet(*path);
  if (!sheet) return sheet.error();
  if (has_paper_runs(*sheet)) {
    notes.emplace_back(
        "Runs typed into the sheet for all benches belong to none of them and are left out.");
    for (SheetTrial& trial : sheet->trials) trial.typed.clear();
  }
  return std::make_shared<const Sheet>(std::move(sheet).value());
}

}  // namespace

Result<Collected> collect(const std::vector<std::string>& arguments, const RunBook* book,
                          const std::optional<std::string>& sheet_path) {
  Collected collected;
  auto for_all = sheet_for_all(sheet_path, collected.notes);
  if (!for_all) return for_all.error();
  std::vector<Place> places;
  for (const std::string& argument : arguments) {
    if (auto read = read_argument(argument, places); !read) return read.error();
  }
  if (book != nullptr) {
    places.push_back({book->name(), book->name(), {}, {}, ""});
    if (auto read = read_runs(*book, places.back()); !read) return read.error();
  }
  Sorting sorting(places, std::move(for_all).value());
  if (auto sorted = sorting.sort(); !sorted) return sorted.error();
  collected.nowhere = std::move(sorting.nowhere);
  const auto names = names_of(sorting.piles, collected.notes);
  for (std::size_t i = 0; i < sorting.piles.size(); ++i) {
    Pile& pile = sorting.piles[i];
    auto sheet = std::find_if(collected.sheets.begin(), collected.sheets.end(),
                              [&](const SheetBenches& one) { return one.title == pile.title; });
    if (sheet == collected.sheets.end()) {
      sheet = collected.sheets.insert(sheet, SheetBenches{pile.title, {}});
    }
    sheet->benches.push_back(bench_of(pile, names[i]));
  }
  for (SheetBenches& sheet : collected.sheets) {
    std::stable_sort(
        sheet.benches.begin(), sheet.benches.end(),
        [](const ClassBench& a, const ClassBench& b) { return comes_before(a.name, b.name); });
  }
  return collected;
}

}  // namespace nestcup::pooled
