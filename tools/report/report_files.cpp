#include "tools/report/report_files.hpp"

#include <fmt/format.h>

#include <fstream>

#include "core/report/document/html_page.hpp"
#include "core/report/document/markdown_page.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

struct NewFile {
  fs::path path;
  std::string text;
};

Result<void> make_folder(const fs::path& folder) {
  std::error_code code;
  if (folder.empty() || fs::is_directory(folder, code)) return {};
  fs::create_directories(folder, code);
  if (!code) return {};
  return Error{Fault::cannot_create, folder.string() + ": cannot be made: " + code.message()};
}

/// All or none where something is there already; a file appears whole or not at all.
Result<std::vector<std::string>> write_files(const std::vector<NewFile>& files, bool replace) {
  for (const NewFile& file : files) {
    if (replace || !fs::exists(file.path)) continue;
    return Error{Fault::cannot_create, file.path.string() +
                                           ": is there already; name another place, or say "
                                           "--replace to write over it"};
  }
  std::vector<std::string> written;
  for (const NewFile& file : files) {
    if (auto made = make_folder(file.path.parent_path()); !made) return made.error();
    fs::path beside = file.path;
    beside += ".new";
    std::ofstream stream(beside, std::ios::binary);
    stream << file.text;
    stream.close();
    std::error_code code;
    if (stream) fs::rename(beside, file.path, code);
    if (!stream || code) {
      fs::remove(beside, code);
      return Error{Fault::cannot_create, file.path.string() + ": cannot be written"};
    }
    written.push_back(file.path.string());
  }
  return written;
}

std::vector<NewFile> markdown_files(const Document& document, const fs::path& path) {
  const fs::path folder = path.stem().string() + "-figures";
  const auto place = [&](int number) {
    return (folder / fmt::format("figure-{}.svg", number)).generic_string();
  };
  std::vector<NewFile> files{{path, markdown_page(document, place)}};
  int number = 0;
  for (const Block& block : document.blocks) {
    const auto* const figure = std::get_if<Figure>(&block);
    if (figure != nullptr) {
      files.push_back({path.parent_path() / place(++number), figure->svg});
    }
  }
  return files;
}

}  // namespace

Result<std::vector<std::string>> write_page(const Document& document, const fs::path& path,
                                            bool replace) {
  if (path.extension() == ".html") {
    return write_files({{path, html_page(document)}}, replace);
  }
  if (path.extension() == ".md") return write_files(markdown_files(document, path), replace);
  return Error{Fault::usage, "option --out: a name that ends in .html or .md is expected"};
}

Result<std::vector<std::string>> write_tables(const Document& document, const fs::path& folder,
                                              CsvKind kind, bool replace) {
  std::vector<NewFile> files;
  for (const CsvFile& file : csv_tables(document, kind)) {
    files.push_back({folder / file.name, file.text});
  }
  return write_files(files, replace);
}

}  // namespace nestcup
