#include "core/store/database.hpp"

#include <fmt/format.h>

namespace nestcup {

Statement::Statement(sqlite3_stmt* statement, std::string path)
    : statement_(statement), path_(std::move(path)) {}

void Statement::note(int code) {
  if (bind_code_ == SQLITE_OK) bind_code_ = code;
}

Statement& Statement::bind(int parameter, std::int64_t value) {
  note(sqlite3_bind_int64(statement_.get(), parameter, value));
  return *this;
}

Statement& Statement::bind(int parameter, double value) {
  note(sqlite3_bind_double(statement_.get(), parameter, value));
  return *this;
}

Statement& Statement::bind(int parameter, std::string_view value) {
  // A null pointer would be SQL's NULL, which an empty text is not.
  const char* const start = value.empty() ? "" : value.data();
  note(sqlite3_bind_text64(statement_.get(), parameter, start, value.size(), SQLITE_TRANSIENT,
                           SQLITE_UTF8));
  return *this;
}

Statement& Statement::bind_null(int parameter) {
  note(sqlite3_bind_null(statement_.get(), parameter));
  return *this;
}

Error Statement::failed(int code) const {
  sqlite3* const database = sqlite3_db_handle(statement_.get());
  const int extended = bind_code_ != SQLITE_OK ? code : sqlite3_extended_errcode(database);
  return sqlite_error(extended, sqlite3_system_errno(database), path_, "statement");
}

Result<bool> Statement::step() {
  if (bind_code_ != SQLITE_OK) return failed(bind_code_);
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  return failed(code);
}

Result<void> Statement::run() {
  const auto row = step();
  sqlite3_reset(statement_.get());
  if (!row) return row.error();
  return {};
}

std::int64_t Statement::whole(int column) const {
  return sqlite3_column_int64(statement_.get(), column);
}

double Statement::number(int column) const {
  return sqlite3_column_double(statement_.get(), column);
}

std::string Statement::text(int column) const {
  const void* const bytes = sqlite3_column_blob(statement_.get(), column);
  const int length = sqlite3_column_bytes(statement_.get(), column);
  if (bytes == nullptr || length <= 0) return {};
  return {static_cast<const char*>(bytes), static_cast<std::size_t>(length)};
}

bool Statement::is_null(int column) const {
  return sqlite3_column_type(statement_.get(), column) == SQLITE_NULL;
}

Result<Database> Database::open(const std::string& path, const std::string& target, int flags) {
  sqlite3* handle = nullptr;
  const int code = sqlite3_open_v2(target.c_str(), &handle, flags | SQLITE_OPEN_EXRESCODE, nullptr);
  Database database(handle, path);
  if (code != SQLITE_OK) return database.failed("opening");
  return database;
}

Error Database::failed(std::string_view what) const {
  return sqlite_error(sqlite3_extended_errcode(handle_.get()), sqlite3_system_errno(handle_.get()),
                      path_, what);
}

Result<Statement> Database::prepare(std::string_view sql) const {
  sqlite3_stmt* statement = nullptr;
  const int code = sqlite3_prepare_v3(handle_.get(), sql.data(), static_cast<int>(sql.size()),
                                      SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
  if (code != SQLITE_OK) return failed("statement");
  return Statement(statement, path_);
}

Result<void> Database::run(const std::string& sql) const {
  if (sqlite3_exec(handle_.get(), sql.c_str(), nullptr, nullptr, nullptr) == SQLITE_OK) return {};
  return failed(sql.substr(0, sql.find_first_of(" (")));
}

Result<std::string> Database::answer(const std::string& sql) const {
  auto statement = prepare(sql);
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  return *row ? statement->text(0) : std::string{};
}

Result<std::int64_t> Database::whole_answer(const std::string& sql) const {
  auto statement = prepare(sql);
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  return *row ? statement->whole(0) : std::int64_t{0};
}

Result<std::vector<std::string>> Database::problems(const std::string& check) const {
  auto statement = prepare(check);
  if (!statement) return statement.error();
  std::vector<std::string> found;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    if (std::string text = statement->text(0); text != "ok") found.push_back(std::move(text));
  }
}

Result<void> Database::in_transaction(const std::function<Result<void>()>& work) {
  // IMMEDIATE: a read that turns into a write is refused at once where another has written since,
  // and no waiting cures that.
  return between("BEGIN IMMEDIATE", work);
}

Result<void> Database::in_first_transaction(const std::function<Result<void>()>& work) {
  return between("BEGIN", work);
}

Result<void> Database::between(const char* begin, const std::function<Result<void>()>& work) {
  Result<void> outcome = run(begin);
  if (outcome) outcome = work();
  if (outcome) outcome = run("COMMIT");
  if (!outcome) {
    remember_failure();
    // SQLite may have rolled back by itself already; then this fails, harmlessly.
    sqlite3_exec(handle_.get(), "ROLLBACK", nullptr, nullptr, nullptr);
  }
  return outcome;
}

void Database::remember_failure() {
  const int primary_code = sqlite3_extended_errcode(handle_.get()) & 0xFF;
  if (primary_code == SQLITE_IOERR) failed_at_file_ = true;
}

void Database::checkpoint_on_close(bool wanted) const {
  sqlite3_db_config(handle_.get(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, wanted ? 0 : 1, nullptr);
}

}  // namespace nestcup
