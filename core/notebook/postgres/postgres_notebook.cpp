#include "core/notebook/postgres/postgres_notebook.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/notebook/postgres/schema.hpp"
#include "core/notebook/postgres/statement.hpp"

namespace nestcup {
namespace {

// All rows of a run in one statement: one way over the net, be it long. What is there stays. Keys
// of other tables are checked at the end of the statement.
constexpr const char* insert_sql = R"sql(
WITH bench AS (
  INSERT INTO nestcup.bench (book, name) VALUES ($1, $2) ON CONFLICT DO NOTHING
), sheet AS (
  INSERT INTO nestcup.sheet (sha256, title, text, first_used_us)
  SELECT * FROM unnest($3::text[], $4::text[], $5::text[], $6::bigint[])
  ON CONFLICT DO NOTHING
), run AS (
  INSERT INTO nestcup.run (id, book, number_at_bench, first_us, last_us, started_at, folder)
  VALUES ($7::uuid, $1, $8::integer, $9::bigint, $10::bigint, nullif($11, '')::timestamptz, $12)
  ON CONFLICT DO NOTHING
), revision AS (
  INSERT INTO nestcup.revision
    (run, revision, record, record_sha256, action, reason, who, wall_us, sheet_sha256)
  SELECT $7::uuid, number, record, digest, action, reason, who, wall_us, nullif(sheet, '')
  FROM unnest($13::integer[], $14::text[], $15::text[], $16::text[], $17::text[], $18::text[],
    $19::bigint[], $20::text[])
    AS one (number, record, digest, action, reason, who, wall_us, sheet)
  ON CONFLICT DO NOTHING
  RETURNING revision
), link AS (
  INSERT INTO nestcup.link (book, number, sha256, previous_sha256, record_sha256, run, revision)
  SELECT $1, link, digest, previous, record, $7::uuid, revision
  FROM unnest($21::integer[], $22::text[], $23::text[], $15::text[], $13::integer[])
    AS one (link, digest, previous, record, revision)
  ON CONFLICT DO NOTHING
), trace AS (
  INSERT INTO nestcup.trace (run, probe, name, role, raw_unit, time_us, temperature_degC, raw)
  SELECT $7::uuid, probe, name, role, nullif(unit, ''), time_us::bigint[],
    temperature::double precision[], nullif(raw, '')::double precision[]
  FROM unnest($24::smallint[], $25::text[], $26::text[], $27::text[], $28::text[], $29::text[],
    $30::text[])
    AS one (probe, name, role, unit, time_us, temperature, raw)
  ON CONFLICT DO NOTHING
)
SELECT count(*) FROM revision
)sql";

constexpr const char* compare_sql =
    "SELECT revision, record_sha256 FROM nestcup.revision "
    "WHERE run = $1::uuid AND revision <= $2::integer ORDER BY revision";

constexpr const char* head_sql =
    "SELECT bench, links, last_sha256 FROM nestcup.chain_end WHERE book = $1 "
    "ORDER BY links DESC LIMIT 1";

constexpr const char* keep_head_sql =
    "INSERT INTO nestcup.chain_end (book, links, last_sha256, bench) "
    "SELECT $1, $2::integer, $3, $4 WHERE EXISTS (SELECT FROM nestcup.bench WHERE book = $1) "
    "ON CONFLICT DO NOTHING";

/// One column of several rows, as an array.
template <class Rows, class Text>
std::string column(const Rows& rows, const Text& text) {
  std::vector<std::string> elements;
  elements.reserve(rows.size());
  for (const auto& row : rows) elements.push_back(text(row));
  return array_text(elements);
}

/// No text of PostgreSQL can hold a byte of zero, and libpq would cut it off there.
Result<void> check_texts(const RunRows& rows, int number) {
  const auto has_zero = [](const std::string& text) {
    return text.find('\0') != std::string::npos;
  };
  bool bad = has_zero(rows.bench);
  for (const RevisionRow& row : rows.revisions) {
    bad = bad || has_zero(row.proof.note.reason) || has_zero(row.proof.note.who);
  }
  for (const StoredSheet& sheet : rows.sheets) {
    bad = bad || has_zero(sheet.text) || has_zero(sheet.title);
  }
  if (!bad) return {};
  return Error{Fault::bad_data, fmt::format("run {}: its sheet, or what was noted of it, holds a "
                                            "byte of zero, which no text of PostgreSQL can hold",
                                            number)};
}

}  // namespace

PostgresNotebook::PostgresNotebook(std::string name, std::unique_ptr<PostgresSession> session)
    : name_(std::move(name)), session_(std::move(session)) {
  session_->prepare("bring", insert_sql);
  session_->prepare("compare", compare_sql);
  session_->prepare("head", head_sql);
  session_->prepare("keep_head", keep_head_sql);
}

Result<void> PostgresNotebook::begin(bool) {
  sheets_there_.clear();
  return check_postgres(*session_);
}

Result<Arrival> PostgresNotebook::bring(const RunEntry& entry) {
  auto rows = rows_of(entry);
  if (!rows) return rows.error();
  if (auto good = check_texts(*rows, entry.number); !good) return good.error();
  std::erase_if(rows->sheets,
                [&](const StoredSheet& sheet) { return sheets_there_.contains(sheet.sha256); });
  int added = 0;
  const auto brought = session_->transact([&](pqxx::work& transaction) {
    added = insert(transaction, *rows);
    return compare(transaction, *rows, entry.number);
  });
  if (!brought) return brought.error();
  for (const StoredSheet& sheet : rows->sheets) sheets_there_.insert(sheet.sha256);
  return Arrival{added == 0, {}};
}

int PostgresNotebook::insert(pqxx::work& transaction, const RunRows& rows) const {
  const Proof& proof = rows.proof;
  const auto sheets = [&](auto text) { return column(rows.sheets, text); };
  const auto revisions = [&](auto text) { return column(rows.revisions, text); };
  const auto traces = [&](auto text) { return column(rows.traces, text); };
  using Sheet = StoredSheet;
  using Revision = RevisionRow;
  using Trace = TraceRow;
  const auto result = execute_prepared(
      transaction, "bring", proof.book, rows.bench, sheets([](const Sheet& s) { return s.sha256; }),
      sheets([](const Sheet& s) { return s.title; }), sheets([](const Sheet& s) { return s.text; }),
      sheets([](const Sheet& s) { return std::to_string(s.first_used_us); }), proof.run_id,
      proof.number, proof.first_us, proof.last_us, rows.started_at, rows.folder,
      revisions([](const Revision& r) { return std::to_string(r.proof.revision); }),
      revisions([](const Revision& r) { return r.record; }),
      revisions([](const Revision& r) { return r.proof.link.record_sha256; }),
      revisions([](const Revision& r) { return r.proof.note.action; }),
      revisions([](const Revision& r) { return r.proof.note.reason; }),
      revisions([](const Revision& r) { return r.proof.note.who; }),
      revisions([](const Revision& r) { return std::to_string(r.proof.note.wall_us); }),
      revisions([](const Revision& r) { return r.sheet_sha256; }),
      revisions([](const Revision& r) { return std::to_string(r.proof.link.number); }),
      revisions([](const Revision& r) { return r.proof.link.sha256; }),
      revisions([](const Revision& r) { return r.proof.previous_sha256; }),
      traces([](const Trace& t) { return std::to_string(t.probe); }),
      traces([](const Trace& t) { return t.name; }), traces([](const Trace& t) { return t.role; }),
      traces([](const Trace& t) { return t.raw_unit; }),
      traces([](const Trace& t) { return t.time_us; }),
      traces([](const Trace& t) { return t.temperature_degC; }),
      traces([](const Trace& t) { return t.raw; }));
  return result[0][0].as<int>();
}

Result<void> PostgresNotebook::compare(pqxx::work& transaction, const RunRows& rows,
                                       int number) const {
  const auto there = execute_prepared(transaction, "compare", rows.proof.run_id,
                                      static_cast<int>(rows.revisions.size()));
  std::size_t place = 0;
  for (const auto& row : there) {
    const ProofRevision& ours = rows.revisions[place].proof;
    if (row[0].as<int>() != ours.revision) break;
    if (row[1].as<std::string>() != ours.link.record_sha256) {
      return Error{Fault::bad_data,
                   fmt::format("{}: has another record as revision {} of run {} ({}) than this "
                               "store; nestcup verify says which of them belongs to its readings",
                               session_->where(), ours.revision, number, rows.proof.run_id)};
    }
    ++place;
  }
  if (place == rows.revisions.size()) return {};
  return Error{Fault::io, fmt::format("{}: took run {} and does not show it; is there a rule or a "
                                      "trigger on its tables?",
                                      session_->where(), number)};
}

Result<KeptHead> PostgresNotebook::head(const std::string& book, const std::string&) {
  KeptHead kept;
  const auto looked = session_->look([&](pqxx::work& transaction) -> Result<void> {
    const auto rows = execute_prepared(transaction, "head", book);
    if (rows.empty()) return {};
    kept = {rows[0][0].as<std::string>(),
            {book, rows[0][1].as<int>(), rows[0][2].as<std::string>()}};
    return {};
  });
  if (!looked) return looked.error();
  return kept;
}

Result<void> PostgresNotebook::keep_head(const KeptHead& head) {
  return session_->transact([&](pqxx::work& transaction) -> Result<void> {
    execute_prepared(transaction, "keep_head", head.head.book, head.head.links,
                     head.head.last_sha256, head.bench);
    return {};
  });
}

Result<std::vector<std::string>> PostgresNotebook::keep_index(const KeptHead&, const IndexNews&) {
  // The view nestcup.current_run is the index, of every month.
  return std::vector<std::string>{};
}

}  // namespace nestcup
