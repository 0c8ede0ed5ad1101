// Reading checked values out of TOML tables: every problem is noted with file, line and key, and
// reading goes on, so that a person sees all of them in one go.
#pragma once

#include <toml++/toml.h>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

/// What is wrong with one file.
class ProblemList {
 public:
  /// @param kind  of every Error in the list
  ProblemList(std::string path, Fault kind) : path_(std::move(path)), kind_(kind) {}

  /// Notes "FILE:LINE: text", control characters as question marks.
  void add(std::size_t line, std::string_view text);
  [[nodiscard]] bool empty() const { return found_.empty(); }
  [[nodiscard]] std::size_t size() const { return found_.size(); }
  /// All problems by line.
  [[nodiscard]] std::vector<Error> in_order() const;

 private:
  struct Problem {
    std::size_t line;
    std::string text;
  };
  std::string path_;
  Fault kind_;
  std::vector<Problem> found_;
};

/// The limits of a number, both allowed unless `above_lowest`.
struct NumberRange {
  double lowest;
  double highest;
  bool above_lowest = false;  ///< `lowest` itself is refused
};

/// A quantity that must be there to a positive amount.
inline constexpr NumberRange positive_amount{0.0, 1e6, true};
/// Temperatures that a bench can meet, degC: from absolute zero to hot metal.
inline constexpr NumberRange any_temperature_degC{-273.15, 2000.0};

/// One table of a TOML file. Asking for a key makes it known; refuse_other_keys() comes last.
class TomlSection {
 public:
  /// @param label  the table as it is written: "[bench]", "[[port]]"; empty for the whole file
  TomlSection(const toml::table& table, std::string label, ProblemList& problems,
              std::string key_prefix = {});

  [[nodiscard]] bool has(std::string_view key) const { return table_->contains(key); }
  /// Is `key` there, or a stranger that is `key` without its unit ("volume" for volume_mL)? The
  /// stranger is named by refuse_other_keys(), so that nobody need miss the key as well.
  [[nodiscard]] bool has_or_lacks_unit(std::string_view key) const;
  /// The table's own line, from 1.
  [[nodiscard]] std::size_t line() const;
  /// How many problems the whole file has so far.
  [[nodiscard]] std::size_t problem_count() const { return problems_->size(); }

  /// Each of these gives nothing where the key is missing or where a problem was noted.
  [[nodiscard]] std::optional<std::string> text(std::string_view key);
  [[nodiscard]] std::optional<double> number(std::string_view key, NumberRange range);
  [[nodiscard]] std::optional<int> whole(std::string_view key, int lowest, int highest);
  [[nodiscard]] std::optional<bool> flag(std::string_view key);
  /// The index in `known` of the word that the key holds.
  [[nodiscard]] std::optional<std::size_t> choice(std::string_view key,
                                                  std::span<const std::string> known);
  [[nodiscard]] std::vector<std::string> texts(std::string_view key);
  /// [key], or the inline table of that key.
  [[nodiscard]] std::optional<TomlSection> table(std::string_view key);
  /// All of [[key]].
  [[nodiscard]] std::vector<TomlSection> tables(std::string_view key);
  /// The inline table of that key, or each of a list of them.
  [[nodiscard]] std::vector<TomlSection> one_or_more(std::string_view key);
  [[nodiscard]] const toml::array* array(std::string_view key);

  /// A text that must be there and not be empty; `hint` says what it is, with an example.
  [[nodiscard]] std::string required_text(std::string_view key, std::string_view hint);
  /// A word out of `known` that must be there.
  [[nodiscard]] std::optional<std::size_t> required_choice(std::string_view key,
                                                           std::span<const std::string> known);
  /// A number that must be there; 0 where it is not.
  [[nodiscard]] double required_number(std::string_view key, NumberRange range);

  /// Notes a problem of this key, at its line (or the table's, where the key is missing).
  void problem(std::string_view key, std::string_view text);
  /// Notes a problem of a key that has no place here; nothing more is then said of it.
  void refuse(std::string_view key, std::string_view text);
  /// Notes a problem of the table as a whole.
  void problem(std::string_view text);
  /// Notes every key that nobody asked for, with the nearest known one or the one with a unit.
  void refuse_other_keys();

 private:
  [[nodiscard]] const toml::node* value(std::string_view key);
  [[nodiscard]] bool is_known(std::string_view key) const;
  [[nodiscard]] std::size_t line_of(std::string_view key) const;
  void wrong_type(std::string_view key, const toml::node& found, std::string_view wanted);
  std::optional<double> in_range(std::string_view key, double number, NumberRange range);

  const toml::table* table_;
  std::string label_;
  ProblemList* problems_;
  std::string key_prefix_;  ///< "cup." for the inline table `cup` of its section
  std::vector<std::string> known_;
};

/// The tables of a TOML text; nothing (and a problem with the line) where it is no TOML.
[[nodiscard]] std::optional<toml::table> parse_toml(const std::string& text, ProblemList& problems);

/// All bytes of a file.
/// @errors no_input: no such file; not_permitted; io
[[nodiscard]] Result<std::string> file_bytes(const std::string& path);

/// "a, b or c", each in quotation marks.
[[nodiscard]] std::string listed(std::span<const std::string> words);

}  // namespace nestcup
