#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <pugixml.hpp>

#include "core/notebook/webdav/dav_server.hpp"

namespace nestcup {
namespace {

/// The name of an element without its namespace's prefix, which each server chooses.
std::string_view own_name(const pugi::xml_node& node) {
  const std::string_view name = node.name();
  const std::size_t colon = name.find(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

/// The first element of that name below a node, however deep.
pugi::xml_node below(const pugi::xml_node& node, std::string_view name) {
  return node.find_node([&](const pugi::xml_node& one) { return own_name(one) == name; });
}

/// The path of an answer's href, which may be a whole address, decoded and without "/" at its end.
std::string path_of(std::string_view href) {
  const std::size_t server = href.find("://");
  if (server != std::string_view::npos) {
    const std::size_t path = href.find('/', server + 3);
    href = path == std::string_view::npos ? std::string_view("/") : href.substr(path);
  }
  std::string path = url_decoded(href);
  while (path.size() > 1 && path.ends_with('/')) path.pop_back();
  return path;
}

/// Whether a name is that of something in a collection, and leads nowhere else.
bool names_something(std::string_view name) {
  return !name.empty() && name != "." && name != "..";
}

std::optional<std::uint64_t> whole_number(std::string_view text) {
  std::uint64_t number = 0;
  const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (text.empty() || fault != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return number;
}

}  // namespace

Result<std::vector<DavEntry>> parse_listing(const std::string& xml, const std::string& where) {
  pugi::xml_document document;
  const auto parsed = document.load_buffer(xml.data(), xml.size());
  const pugi::xml_node all = document.document_element();
  if (!parsed || own_name(all) != "multistatus") {
    return Error{Fault::bad_configuration,
                 fmt::format("{}: the answer to PROPFIND is no listing; is url that of a WebDAV "
                             "collection?",
                             where)};
  }
  std::vector<std::pair<std::string, DavEntry>> found;
  for (const pugi::xml_node& response : all.children()) {
    if (own_name(response) != "response") continue;
    const std::string path = path_of(below(response, "href").text().get());
    DavEntry entry{path.substr(path.rfind('/') + 1), false, {}};
    entry.is_collection = !below(below(response, "resourcetype"), "collection").empty();
    entry.bytes = whole_number(below(response, "getcontentlength").text().get());
    found.emplace_back(path, std::move(entry));
  }
  // The collection itself is among them: the shortest, also where a server in front of this one
  // gives it another path.
  const auto itself = std::min_element(
      found.begin(), found.end(),
      [](const auto& a, const auto& b) { return a.first.size() < b.first.size(); });
  std::vector<DavEntry> entries;
  for (auto one = found.begin(); one != found.end(); ++one) {
    if (one != itself && names_something(one->second.name)) {
      entries.push_back(std::move(one->second));
    }
  }
  return entries;
}

}  // namespace nestcup
