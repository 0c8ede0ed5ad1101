#include "core/notebook/postgres/runs.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/time_text.hpp"
#include "core/notebook/postgres/rows.hpp"
#include "core/notebook/postgres/statement.hpp"

namespace nestcup {
namespace {

constexpr std::size_t shortest_id_end = 4;
constexpr std::size_t id_length = 36;

constexpr const char* run_columns =
    "SELECT number, id::text, book, coalesce(bench, ''), number_at_bench, first_us, last_us, "
    "revision, status, record FROM nestcup.latest_run ";

constexpr const char* sheet_columns =
    "SELECT sha256, title, text, first_used_us FROM nestcup.sheet ";

std::string text_in(const pqxx::row& row, int column) {
  return row[column].as<std::string>();
}

std::vector<StoredSheet> sheets_in(const pqxx::result& rows) {
  std::vector<StoredSheet> sheets;
  for (const auto& row : rows) {
    sheets.push_back({text_in(row, 0), text_in(row, 1), text_in(row, 2), row[3].as<TimeUs>()});
  }
  return sheets;
}

bool is_number(const std::string& text) {
  constexpr std::size_t most_digits = 18;
  return !text.empty() && text.size() <= most_digits &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

/// An id, or its end, with nothing in it but what ids are of.
bool is_id_end(const std::string& text) {
  return text.size() >= shortest_id_end && text.size() <= id_length &&
         std::all_of(text.begin(), text.end(), [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f') || c == '-';
         });
}

/// One row of nestcup.trace put to the others. @return why it cannot be
Result<void> add_trace(const pqxx::row& row, TimeUs first_us, PostgresReadings& to) {
  const auto role = role_from_name(text_in(row, 1));
  const auto times = wholes_of(row[3].c_str());
  const auto temperatures = doubles_of(row[4].c_str());
  const auto raw = row[5].is_null() ? temperatures : doubles_of(row[5].c_str());
  const auto probe = static_cast<std::size_t>(row[0].as<int>());
  if (!role || !times || !temperatures || !raw || times->size() != temperatures->size() ||
      raw->size() != times->size() || probe != to.readings.roles.size()) {
    return Error{Fault::bad_data, fmt::format("readings of probe {} do not fit together", probe)};
  }
  to.readings.roles.push_back(*role);
  to.raw_units.push_back(row[2].is_null() ? std::nullopt : std::optional(text_in(row, 2)));
  for (std::size_t i = 0; i < times->size(); ++i) {
    to.readings.readings.push_back(
        {static_cast<std::uint16_t>(probe), first_us + (*times)[i], (*temperatures)[i], (*raw)[i]});
  }
  return {};
}

}  // namespace

std::string stamp_of(const std::optional<TimeUs>& wall_us) {
  return wall_us ? rfc3339(*wall_us) : std::string();
}

PostgresRun run_in(const pqxx::row& row) {
  return {row[0].as<long long>(), text_in(row, 1),     text_in(row, 2),     text_in(row, 3),
          row[4].as<int>(),       row[5].as<TimeUs>(), row[6].as<TimeUs>(), row[7].as<int>(),
          text_in(row, 8),        text_in(row, 9)};
}

PostgresRuns::PostgresRuns(PostgresSession& session) : session_(session) {}

Result<std::vector<PostgresRun>> PostgresRuns::runs(long long after, int most,
                                                    const RunChoice& choice) {
  std::vector<PostgresRun> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.clear();
    const auto rows = execute(transaction,
                              fmt::format("{} WHERE {} AND number > $5 ORDER BY number LIMIT $6",
                                          run_columns, chosen_sql),
                              choice.bench.value_or(""), choice.course.value_or(""),
                              stamp_of(choice.since_us), stamp_of(choice.before_us), after, most);
    for (const auto& row : rows) found.push_back(run_in(row));
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<long long> PostgresRuns::number_before_last(const RunChoice& choice) {
  if (choice.last == 0) return 0LL;
  long long before = 0;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    const auto rows =
        execute(transaction,
                fmt::format("SELECT coalesce(min(number) - 1, 0) FROM (SELECT number FROM "
                            "nestcup.current_run WHERE {} ORDER BY number DESC LIMIT $5) AS newest",
                            chosen_sql),
                choice.bench.value_or(""), choice.course.value_or(""), stamp_of(choice.since_us),
                stamp_of(choice.before_us), choice.last);
    before = rows[0][0].as<long long>();
    return {};
  });
  if (!looked) return looked.error();
  return before;
}

Result<PostgresRun> PostgresRuns::find_run(const std::string& which) {
  std::string id = which;
  std::transform(id.begin(), id.end(), id.begin(),
                 [](char c) { return c >= 'A' && c <= 'F' ? static_cast<char>(c + 32) : c; });
  const Error none{Fault::no_input, fmt::format("{}: has no run {}", session_.where(), which)};
  if (!is_number(id) && !is_id_end(id)) return none;
  std::vector<PostgresRun> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.clear();
    const char* const where = is_number(id)            ? "WHERE number = $1::bigint"
                              : id.size() == id_length ? "WHERE id = $1::uuid"
                                                       : "WHERE right(id::text, length($1)) = $1";
    const auto rows = execute(transaction, fmt::format("{} {} LIMIT 2", run_columns, where), id);
    for (const auto& row : rows) found.push_back(run_in(row));
    return {};
  });
  if (!looked) return looked.error();
  if (found.empty()) return none;
  if (found.size() == 1) return std::move(found.front());
  return Error{Fault::usage, fmt::format("{}: several runs end in {}; give more of the id",
                                         session_.where(), which)};
}

Result<std::vector<StoredRevision>> PostgresRuns::revisions(const std::string& id) {
  std::vector<StoredRevision> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.clear();
    const auto rows =
        execute(transaction,
                "SELECT revision, action, reason, who, wall_us, record FROM nestcup.revision "
                "WHERE run = $1::uuid ORDER BY revision",
                id);
    for (const auto& row : rows) {
      found.push_back({row[0].as<int>(),
                       {text_in(row, 1), text_in(row, 2), text_in(row, 3), row[4].as<TimeUs>()},
                       text_in(row, 5)});
    }
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<std::optional<StoredRevision>> PostgresRuns::made_anew(const std::string& id) {
  std::optional<StoredRevision> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.reset();
    const auto rows = execute(
        transaction,
        "SELECT of_revision, why, who, wall_us, recomputed.record FROM nestcup.latest_run "
        "JOIN nestcup.recomputed ON run = id AND of_revision = revision "
        "AND recomputed.analysis = latest_run.analysis WHERE id = $1::uuid AND is_recomputed",
        id);
    if (rows.empty()) return {};
    const auto row = rows[0];
    found = StoredRevision{row[0].as<int>(),
                           {"recomputed", text_in(row, 1), text_in(row, 2), row[3].as<TimeUs>()},
                           text_in(row, 4)};
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<PostgresLinks> PostgresRuns::links(const std::string& id) {
  PostgresLinks found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found = {};
    const auto rows = execute(
        transaction,
        "WITH chain AS (SELECT link.book FROM nestcup.link JOIN nestcup.run ON run.id = link.run "
        "WHERE link.run = $1::uuid GROUP BY link.book, run.book "
        "ORDER BY count(*) DESC, link.book = run.book DESC LIMIT 1), "
        "own AS (SELECT book, number FROM nestcup.link JOIN chain USING (book) "
        "WHERE run = $1::uuid) "
        "SELECT DISTINCT link.book, link.number, run::text, revision, record_sha256, sha256 "
        "FROM nestcup.link JOIN own ON own.book = link.book "
        "AND link.number IN (own.number, own.number - 1) ORDER BY link.number",
        id);
    for (const auto& row : rows) {
      found.book = text_in(row, 0);
      found.links.push_back(
          {row[1].as<int>(), text_in(row, 2), row[3].as<int>(), text_in(row, 4), text_in(row, 5)});
    }
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<PostgresReadings> PostgresRuns::readings(const std::string& id) {
  PostgresReadings found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found = {};
    const auto rows =
        execute(transaction,
                "SELECT probe, role, raw_unit, time_us, temperature_degC, raw, first_us "
                "FROM nestcup.trace JOIN nestcup.run ON run.id = trace.run WHERE run = $1::uuid "
                "ORDER BY probe",
                id);
    for (const auto& row : rows) {
      if (auto added = add_trace(row, row[6].as<TimeUs>(), found); !added) {
        return Error{added.error().kind,
                     fmt::format("{}: run {}: {}", session_.where(), id, added.error().text)};
      }
    }
    return {};
  });
  if (!looked) return looked.error();
  std::sort(found.readings.readings.begin(), found.readings.readings.end(),
            [](const Reading& a, const Reading& b) {
              return std::pair(a.time_us, a.probe) < std::pair(b.time_us, b.probe);
            });
  return found;
}

Result<std::vector<StoredSheet>> PostgresRuns::sheets(const std::vector<std::string>& sha256) {
  std::vector<StoredSheet> found;
  if (sha256.empty()) return found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found = sheets_in(
        execute(transaction,
                fmt::format("{} WHERE sha256 = ANY ($1::text[]) ORDER BY sha256", sheet_columns),
                array_text(sha256)));
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<std::vector<StoredSheet>> PostgresRuns::sheets_beginning(const std::string& begin) {
  std::vector<StoredSheet> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    // 'g' comes after every digit; so the index serves.
    found = sheets_in(
        execute(transaction,
                fmt::format("{} WHERE sha256 >= $1 AND sha256 < $1 || 'g' ORDER BY sha256 LIMIT 2",
                            sheet_columns),
                begin));
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<std::vector<StoredSheet>> PostgresRuns::sheets() {
  std::vector<StoredSheet> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found = sheets_in(
        transaction.exec(fmt::format("{} ORDER BY first_used_us, sha256", sheet_columns)));
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

Result<std::vector<std::string>> PostgresRuns::benches() {
  std::vector<std::string> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.clear();
    const auto rows = transaction.exec(
        "SELECT DISTINCT bench FROM nestcup.revision WHERE bench IS NOT NULL ORDER BY bench");
    for (const auto& row : rows) found.push_back(text_in(row, 0));
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

}  // namespace nestcup
