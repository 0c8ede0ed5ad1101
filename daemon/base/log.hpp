// The log: one line an event or a change, never a flood, and how much it matters.
#pragma once

#include <functional>
#include <ostream>
#include <string>
#include <string_view>
#include <utility>

namespace nestcup::daemon {

/// The numbers are those of syslog (RFC 5424, section 6.2.1).
enum class LogLevel : int {
  error = 3,    ///< somebody must see to it
  warning = 4,  ///< something is amiss that may pass
  info = 6,     ///< the course of things
};

/// Where lines go. One that is made of nothing drops them.
class Log {
 public:
  /// Called from any thread.
  using Write = std::function<void(LogLevel, std::string_view)>;

  Log() = default;
  explicit Log(Write write) : write_(std::move(write)) {}

  void operator()(std::string_view line) const { put(LogLevel::info, line); }
  void warning(std::string_view line) const { put(LogLevel::warning, line); }
  void error(std::string_view line) const { put(LogLevel::error, line); }
  void put(LogLevel level, std::string_view line) const {
    if (write_) write_(level, line);
  }
  /// For who knows no levels: all lines matter this much.
  [[nodiscard]] std::function<void(std::string_view)> at(LogLevel level) const {
    return [write = write_, level](std::string_view line) {
      if (write) write(level, line);
    };
  }

 private:
  Write write_;
};

/// Whether a descriptor leads to the journal: its device and inode are those that systemd has put
/// into JOURNAL_STREAM (systemd.exec(5)).
/// @param journal_stream  the variable's value, or nullptr
[[nodiscard]] bool leads_to_journal(int descriptor, const char* journal_stream);

/// `text` as the journal takes it (sd-daemon(3)): the level in front, and one line, for each line
/// is an entry of its own.
[[nodiscard]] std::string journal_line(LogLevel level, std::string_view text);

/// Lines to `out`, each at once: as the journal takes them, or behind the program's name. `out`
/// must outlive the log.
[[nodiscard]] Log log_to(std::ostream& out, const std::string& program, bool is_journal);

}  // namespace nestcup::daemon
