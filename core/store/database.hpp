// SQLite's C interface with owners, and failures as Result. Internal to the room.
#pragma once

#include <sqlite3.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

/// An extended result code of SQLite as an Error: what failed, on which file, and what to try.
/// @param system_errno  what the operating system said, 0 where it said nothing
[[nodiscard]] Error sqlite_error(int extended_code, int system_errno, std::string_view path,
                                 std::string_view what);
/// For a file that SQLite would open for reading only, though the rights on it say otherwise.
[[nodiscard]] Error cannot_be_written(std::string_view path);

/// A compiled statement. Parameters and columns count as in SQLite: parameters from 1, columns
/// from 0.
class Statement {
 public:
  Statement() = default;
  Statement(sqlite3_stmt* statement, std::string path);

  Statement& bind(int parameter, std::int64_t value);
  Statement& bind(int parameter, double value);
  Statement& bind(int parameter, std::string_view value);
  Statement& bind_null(int parameter);

  /// Runs to the next row. @return whether there is one
  [[nodiscard]] Result<bool> step();
  /// Runs a statement that gives no rows, and makes it ready for the next parameters.
  [[nodiscard]] Result<void> run();

  [[nodiscard]] std::int64_t whole(int column) const;
  [[nodiscard]] double number(int column) const;
  [[nodiscard]] std::string text(int column) const;
  [[nodiscard]] bool is_null(int column) const;

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
  };
  void note(int code);
  [[nodiscard]] Error failed(int code) const;

  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
  std::string path_;
  int bind_code_ = SQLITE_OK;  ///< first failure of a bind, told by step()
};

/// A connection.
class Database {
 public:
  /// @param target  the file's path, or a file: address
  /// @param flags   of sqlite3_open_v2
  [[nodiscard]] static Result<Database> open(const std::string& path, const std::string& target,
                                             int flags);

  [[nodiscard]] Result<Statement> prepare(std::string_view sql) const;
  /// Runs statements whose rows do not matter.
  [[nodiscard]] Result<void> run(const std::string& sql) const;
  /// First column of the first row as text.
  [[nodiscard]] Result<std::string> answer(const std::string& sql) const;
  [[nodiscard]] Result<std::int64_t> whole_answer(const std::string& sql) const;
  /// What PRAGMA integrity_check or quick_check finds wrong with the file; empty for nothing.
  [[nodiscard]] Result<std::vector<std::string>> problems(const std::string& check) const;
  /// Rows that the last statement changed.
  [[nodiscard]] std::int64_t changed() const { return sqlite3_changes64(handle_.get()); }
  /// Runs `work` between BEGIN IMMEDIATE and COMMIT; rolls back where any of the three fails.
  [[nodiscard]] Result<void> in_transaction(const std::function<Result<void>()>& work);
  /// The same for the first transaction of a new file, of which nothing is made before `work`.
  [[nodiscard]] Result<void> in_first_transaction(const std::function<Result<void>()>& work);
  /// Whether closing moves the write-ahead log into the file, should this be the last connection.
  void checkpoint_on_close(bool wanted) const;
  /// Looks at the last failure for failed_at_file(); transactions do so by themselves.
  void remember_failure();
  /// Whether the file could not be read, written or synced at some time: the connection may then
  /// hold pages that the disk does not, and is to be replaced.
  [[nodiscard]] bool failed_at_file() const { return failed_at_file_; }

  [[nodiscard]] sqlite3* handle() const { return handle_.get(); }
  [[nodiscard]] const std::string& path() const { return path_; }
  /// The connection's last failure.
  [[nodiscard]] Error failed(std::string_view what) const;

 private:
  struct Close {
    void operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
  };
  Database(sqlite3* handle, std::string path) : handle_(handle), path_(std::move(path)) {}
  [[nodiscard]] Result<void> between(const char* begin, const std::function<Result<void>()>& work);

  std::unique_ptr<sqlite3, Close> handle_;
  std::string path_;
  bool failed_at_file_ = false;
};

}  // namespace nestcup
