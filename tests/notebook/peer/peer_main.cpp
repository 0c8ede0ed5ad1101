// What programs of others are held against (outside_test.py, canonical_peer.js):
//   canonical         a JSON text a line on standard input -> its canonical text a line
//   write FOLDER      the sample crate there: day.eln, again.eln, and the folder crate
//   read ARCHIVE      size, digest and path of each file, a line each
#include <fmt/format.h>

#include <iostream>
#include <string>

#include "core/base/canonical_json.hpp"
#include "core/base/digest.hpp"
#include "core/base/exit_code.hpp"
#include "core/notebook/archive.hpp"
#include "tests/notebook/sample_crate.hpp"

using namespace nestcup;

namespace {

int failed(const Error& error) {
  std::cerr << error.text << '\n';
  return exit_code(error.kind);
}

int canonical_lines() {
  for (std::string line; std::getline(std::cin, line);) {
    const auto text = canonical_json(line);
    if (!text) return failed(text.error());
    std::cout << *text << '\n';
  }
  return exit_done;
}

int write_sample(const std::string& folder) {
  const auto files = crate_files(sample_crate());
  if (!files) return failed(files.error());
  for (const char* name : {"/day.eln", "/again.eln"}) {
    const auto done =
        write_archive(folder + name, below_folder("day", *files), 1'795'593'600'000'000);
    if (!done) return failed(done.error());
  }
  const auto done = write_folder(folder + "/crate", *files);
  return done ? exit_done : failed(done.error());
}

int read_files(const std::string& path) {
  const auto files = read_archive(path);
  if (!files) return failed(files.error());
  for (const BundleFile& file : *files) {
    std::cout << fmt::format("{} {} {}\n", file.bytes.size(), sha256_hex(file.bytes), file.path);
  }
  return exit_done;
}

}  // namespace

int main(int count, char** words) {
  const std::string what = count > 1 ? words[1] : "";
  if (what == "canonical" && count == 2) return canonical_lines();
  if (what == "write" && count == 3) return write_sample(words[2]);
  if (what == "read" && count == 3) return read_files(words[2]);
  return exit_code(Fault::usage);
}
