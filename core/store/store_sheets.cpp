// Sheets that a store keeps, so that what was worked out by them stays readable.
#include <fmt/format.h>

#include <algorithm>

#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

constexpr std::int64_t first_version_with_sheets = 3;
constexpr std::size_t shortest_begin = 4;

}  // namespace

Result<void> Store::keep_sheet(const StoredSheet& sheet) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    auto statement = (*database)->prepare(
        "INSERT INTO sheets (sha256, title, text, first_used_us) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (sha256) DO NOTHING");
    if (!statement) return statement.error();
    statement->bind(1, sheet.sha256).bind(2, sheet.title).bind(3, sheet.text);
    return statement->bind(4, sheet.first_used_us).run();
  });
}

Result<std::vector<StoredSheet>> Store::sheets() const {
  const auto there = inner_->has_tables_of(first_version_with_sheets);
  if (!there) return there.error();
  std::vector<StoredSheet> found;
  if (!*there) return found;
  auto statement = inner_->prepare(
      "SELECT sha256, title, text, first_used_us FROM sheets ORDER BY first_used_us, sha256");
  if (!statement) return statement.error();
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    found.push_back(
        {statement->text(0), statement->text(1), statement->text(2), statement->whole(3)});
  }
}

Result<StoredSheet> Store::find_sheet(const std::string& sha256_begin) const {
  if (sha256_begin.size() < shortest_begin) {
    return Error{Fault::usage, fmt::format("\"{}\" is too short for a sheet's digest; give {} "
                                           "characters or more",
                                           sha256_begin, shortest_begin)};
  }
  auto all = sheets();
  if (!all) return all.error();
  const std::string begin = lower_case(sha256_begin);
  std::erase_if(*all, [&](const StoredSheet& sheet) { return !sheet.sha256.starts_with(begin); });
  if (all->empty()) {
    return Error{Fault::no_input, fmt::format("{}: keeps no sheet whose digest begins with \"{}\"",
                                              path(), sha256_begin)};
  }
  if (all->size() > 1) {
    return Error{Fault::usage, fmt::format("{}: the digests of {} sheets begin with \"{}\"; give "
                                           "more characters",
                                           path(), all->size(), sha256_begin)};
  }
  return std::move(all->front());
}

}  // namespace nestcup
