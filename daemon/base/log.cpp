#include "daemon/base/log.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <memory>
#include <mutex>

namespace nestcup::daemon {

bool leads_to_journal(int descriptor, const char* journal_stream) {
  struct stat facts {};
  if (journal_stream == nullptr || fstat(descriptor, &facts) != 0) return false;
  return fmt::format("{}:{}", facts.st_dev, facts.st_ino) == journal_stream;
}

std::string journal_line(LogLevel level, std::string_view text) {
  std::string line = fmt::format("<{}>", static_cast<int>(level));
  for (const char c : text) line += c == '\n' || c == '\r' ? ' ' : c;
  while (line.ends_with(' ')) line.pop_back();
  return line;
}

Log log_to(std::ostream& out, const std::string& program, bool is_journal) {
  const auto mutex = std::make_shared<std::mutex>();
  return Log([&out, program, is_journal, mutex](LogLevel level, std::string_view text) {
    const std::lock_guard lock(*mutex);
    if (is_journal) {
      out << journal_line(level, text) << std::endl;
    } else {
      out << program << ": " << text << std::endl;
    }
  });
}

}  // namespace nestcup::daemon
