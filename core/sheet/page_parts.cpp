#include <fmt/format.h>

#include <algorithm>

#include "core/sheet/address.hpp"
#include "core/sheet/bench_parts.hpp"

namespace nestcup {

namespace {

constexpr std::size_t most_names = 32;
/// A process may have 1024 files open where nobody says otherwise; ports and store need theirs.
constexpr int most_connections = 512;

std::vector<std::string> read_names(TomlSection& section) {
  std::vector<std::string> names = section.texts("names");
  if (names.size() > most_names) {
    section.problem("names", fmt::format("are {}, expected at most {}", names.size(), most_names));
    return names;
  }
  for (auto name = names.begin(); name != names.end(); ++name) {
    if (!is_host_name(*name)) {
      section.problem("names", fmt::format("holds \"{}\", expected names as they stand in the "
                                           "page's address, such as \"bench-4.lab.example\" or, "
                                           "with a port, \"lab.example:8443\"",
                                           *name));
    } else if (std::find(names.begin(), name, *name) != name) {
      section.problem("names", fmt::format("holds \"{}\" twice", *name));
    }
  }
  return names;
}

}  // namespace

PageSettings read_page_table(TomlSection section, bool has_page) {
  PageSettings page;
  page.names = read_names(section);
  page.connections = section.whole("connections", 1, most_connections).value_or(page.connections);
  const auto per_address = section.whole("connections_per_address", 1, most_connections);
  if (per_address && *per_address > page.connections) {
    section.problem("connections_per_address",
                    fmt::format("is {}, expected at most the {} of connections", *per_address,
                                page.connections));
  }
  page.connections_per_address =
      std::min(per_address.value_or(page.connections_per_address), page.connections);
  section.refuse_other_keys();
  if (!has_page) {
    section.problem(
        "means nothing without a page; say where with listen in [bench], such as "
        "listen = \"127.0.0.1:8734\"");
  }
  return page;
}

}  // namespace nestcup
