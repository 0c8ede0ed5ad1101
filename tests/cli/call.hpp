// Calls of a program in memory, and of shell commands in a real process.
#pragma once

#include <string>
#include <vector>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

struct Outcome {
  int code = -1;
  std::string out{};
  std::string err{};
};

/// Runs `program` with these words, nothing on standard input.
[[nodiscard]] Outcome call(const ProgramSpec& program, const std::vector<std::string>& words);

/// Runs a shell command, at most 20 s; `out` holds both of its streams.
[[nodiscard]] Outcome shell(const std::string& command);

[[nodiscard]] inline bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

/// A new file in the temporary folder with this text, gone at the end of its life.
class TemporaryFile {
 public:
  explicit TemporaryFile(const std::string& text);
  ~TemporaryFile();
  TemporaryFile(const TemporaryFile&) = delete;
  TemporaryFile& operator=(const TemporaryFile&) = delete;
  [[nodiscard]] const std::string& path() const { return path_; }

 private:
  std::string path_;
};

}  // namespace nestcup::cli
