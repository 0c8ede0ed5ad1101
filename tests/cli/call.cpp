#include "tests/cli/call.hpp"

#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tools/cli/program.hpp"

namespace nestcup::cli {

Outcome call(const ProgramSpec& program, const std::vector<std::string>& words) {
  std::istringstream in;
  std::ostringstream out;
  std::ostringstream err;
  Streams streams{program.name, in, out, err, false};
  Outcome outcome;
  outcome.code = run_program(program, words, streams);
  outcome.out = out.str();
  outcome.err = err.str();
  return outcome;
}

Outcome shell(const std::string& command) {
  const TemporaryFile script(command + '\n');
  const std::string line = "timeout 20 bash '" + script.path() + "' 2>&1";
  Outcome outcome;
  FILE* const pipe = ::popen(line.c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    outcome.out.append(buffer.data(), n);
  }
  const int status = ::pclose(pipe);
  outcome.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return outcome;
}

TemporaryFile::TemporaryFile(const std::string& text) {
  path_ = (std::filesystem::temp_directory_path() / "nestcup-cli-XXXXXX").string();
  const int descriptor = ::mkstemp(path_.data());
  if (descriptor < 0) std::abort();
  ::close(descriptor);
  std::ofstream(path_) << text;
}

TemporaryFile::~TemporaryFile() {
  std::filesystem::remove(path_);
}

}  // namespace nestcup::cli
