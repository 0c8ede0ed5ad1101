// Reading TOML tables with every problem named by file, line and key.
#pragma once

#include <toml++/toml.h>

#include <limits>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <vector>

namespace nestcup::sim {

/// The problems found in one file, one line of text each.
class Problems {
 public:
  explicit Problems(std::string file) : file_(std::move(file)) {}
  /// @param line  1-based; 0 where there is none
  void add(std::size_t line, const std::string& text);
  [[nodiscard]] bool none() const { return lines_.empty(); }
  /// All problems in the order of the file.
  [[nodiscard]] std::string text() const;

 private:
  struct Entry {
    std::size_t line;
    std::string text;
  };
  std::string file_;
  std::vector<Entry> lines_;
};

/// Bounds of a number, both allowed.
struct Bounds {
  double least = -std::numeric_limits<double>::infinity();
  double most = std::numeric_limits<double>::infinity();
};

/// One table. Every key that is asked for is known; finish() complains of all others.
class TableReader {
 public:
  /// @param name  of the table in messages, such as "probe 2"; empty at the top of the file
  TableReader(const toml::table& table, std::string name, Problems& problems);

  [[nodiscard]] bool has(const std::string& key) const { return table_.contains(key); }
  /// A number within bounds. Missing without a fallback is a problem.
  double number(const std::string& key, Bounds bounds, std::optional<double> fallback = {});
  /// A time constant: 0 or at least 0.05 s.
  double lag(const std::string& key, std::optional<double> fallback = {});
  std::int64_t whole(const std::string& key, std::int64_t least, std::int64_t fallback);
  std::string text(const std::string& key, std::optional<std::string> fallback = {});
  /// Which of `names` the text under `key` is; `fallback` where there is none or another.
  std::size_t choice(const std::string& key, std::span<const std::string_view> names,
                     std::size_t fallback);
  bool flag(const std::string& key, bool fallback);
  std::vector<std::string> texts(const std::string& key);
  /// A table under `key`; null where there is none.
  const toml::table* table(const std::string& key);
  /// The tables of an array of tables under `key`.
  std::vector<const toml::table*> tables(const std::string& key);
  /// Says that the value of `key` is wrong.
  void complain(const std::string& key, const std::string& text);
  /// Counts `key` as known without reading it.
  void pass_over(const std::string& key) { known_.insert(key); }
  /// Says that every key not asked for is unknown.
  void finish();

 private:
  const toml::node* find(const std::string& key, bool required);
  [[nodiscard]] std::string label(const std::string& key) const;

  const toml::table& table_;
  std::string name_;
  Problems& problems_;
  std::set<std::string> known_;
};

}  // namespace nestcup::sim
