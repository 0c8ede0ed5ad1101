#include "core/notebook/postgres/book.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "core/notebook/postgres/schema.hpp"

namespace nestcup {
namespace {

/// So many runs are in memory at once while all are gone through.
constexpr int page_of_runs = 200;
constexpr std::size_t shortest_digest = 4;

/// Lower-case hex; nothing where it is none.
std::optional<std::string> hex_of(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'F') c = static_cast<char>(c - 'A' + 'a');
    if (!((c >= '0' && c <= '9') || (c >= 'a' && c <= 'f'))) return std::nullopt;
  }
  return text;
}

}  // namespace

Result<StoredRun> stored_run(const std::string& where, PostgresRun run) {
  if (run.number > std::numeric_limits<int>::max()) {
    return Error{Fault::bad_data, fmt::format("{}: run {}: numbers go up to {} here; name it by "
                                              "its id",
                                              where, run.number, std::numeric_limits<int>::max())};
  }
  return StoredRun{
      std::move(run.id),     static_cast<int>(run.number), run.first_us, run.last_us, run.revision,
      std::move(run.status), std::move(run.record_json)};
}

PostgresBook::PostgresBook(std::unique_ptr<PostgresSession> session, Way way, RunChoice choice,
                           Revisions which)
    : session_(std::move(session)),
      way_(std::move(way)),
      choice_(std::move(choice)),
      which_(which) {}

Result<std::unique_ptr<PostgresBook>> PostgresBook::open(const std::string& address,
                                                         RunChoice choice, Revisions which) {
  return open(NotebookSettings{"postgres", address}, std::move(choice), which);
}

Result<std::unique_ptr<PostgresBook>> PostgresBook::open(const NotebookSettings& database,
                                                         RunChoice choice, Revisions which,
                                                         std::function<bool()> go_on) {
  auto session = open_postgres(database, go_on);
  if (!session) return session.error();
  if (auto good = check_postgres(**session); !good) return good.error();
  return std::unique_ptr<PostgresBook>(new PostgresBook(
      std::move(*session), {database, std::move(go_on)}, std::move(choice), which));
}

Result<std::vector<StoredRun>> PostgresBook::runs() const {
  std::vector<StoredRun> all;
  const auto taken = each_run([&](const StoredRun& run) -> Result<void> {
    all.push_back(run);
    return {};
  });
  if (!taken) return taken.error();
  return all;
}

Result<void> PostgresBook::each_run(
    const std::function<Result<void>(const StoredRun&)>& take) const {
  PostgresRuns rows(*session_);
  auto after = rows.number_before_last(choice_);
  if (!after) return after.error();
  while (true) {
    auto page = rows.runs(*after, page_of_runs, choice_);
    if (!page) return page.error();
    if (page->empty()) return {};
    *after = page->back().number;
    for (PostgresRun& one : *page) {
      const auto run = stored_run(name(), std::move(one));
      if (!run) return run.error();
      if (auto taken = take(*run); !taken) return taken;
    }
  }
}

Result<StoredRun> PostgresBook::find_run(const std::string& which) const {
  auto run = PostgresRuns(*session_).find_run(which);
  if (!run) return run.error();
  return stored_run(name(), std::move(*run));
}

Result<std::vector<StoredRevision>> PostgresBook::revisions(const std::string& id) const {
  PostgresRuns rows(*session_);
  auto all = rows.revisions(id);
  if (!all || which_ == Revisions::of_benches) return all;
  auto anew = rows.made_anew(id);
  if (!anew) return anew.error();
  if (*anew) all->push_back(std::move(**anew));
  return all;
}

Result<RoledReadings> PostgresBook::readings_about(const StoredRun& run) const {
  auto found = PostgresRuns(*session_).readings(run.id);
  if (!found) return found.error();
  return std::move(found->readings);
}

Result<std::vector<StoredSheet>> PostgresBook::sheets() const {
  return PostgresRuns(*session_).sheets();
}

Result<StoredSheet> PostgresBook::find_sheet(const std::string& sha256_begin) const {
  if (sha256_begin.size() < shortest_digest) {
    return Error{Fault::usage, fmt::format("\"{}\" is too short for a sheet's digest; give {} "
                                           "characters or more",
                                           sha256_begin, shortest_digest)};
  }
  const Error none{Fault::no_input, fmt::format("{}: keeps no sheet whose digest begins with "
                                                "\"{}\"",
                                                name(), sha256_begin)};
  const auto begin = hex_of(sha256_begin);
  if (!begin) return none;
  if (const auto known = known_sheets_.find(*begin); known != known_sheets_.end()) {
    return known->second;
  }
  auto found = PostgresRuns(*session_).sheets_beginning(*begin);
  if (!found) return found.error();
  if (found->empty()) return none;
  if (found->size() > 1) {
    return Error{Fault::usage, fmt::format("{}: the digests of several sheets begin with \"{}\"; "
                                           "give more characters",
                                           name(), sha256_begin)};
  }
  known_sheets_.emplace(found->front().sha256, found->front());
  return std::move(found->front());
}

Result<std::unique_ptr<RunBook>> PostgresBook::reopened() const {
  auto again = open(way_.database, choice_, which_, way_.go_on);
  if (!again) return again.error();
  return std::unique_ptr<RunBook>(std::move(*again));
}

}  // namespace nestcup
