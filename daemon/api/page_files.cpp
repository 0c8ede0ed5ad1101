#include "daemon/api/page_files.hpp"

#include <algorithm>
#include <array>

#include "core/base/digest.hpp"
#include "core/report/words/texts.hpp"

namespace nestcup::daemon {
namespace {

/// Sections of the catalogue that the page speaks with.
bool is_for_page(const std::string& key) {
  constexpr std::array<std::string_view, 4> sections{"live", "advice.", "finding", "purpose."};
  return std::any_of(sections.begin(), sections.end(),
                     [&](std::string_view begin) { return key.starts_with(begin); });
}

std::string catalogue_json(Language language) {
  const Texts texts(language);
  nlohmann::json json = nlohmann::json::object();
  for (const std::string& key : text_keys()) {
    if (is_for_page(key)) json[key] = texts[key];
  }
  return json.dump();
}

/// The routes' own copy of the answer: what is in the program does not change.
Route route_for(const std::string& path, const std::string& type, std::string body) {
  const std::string etag = "\"" + sha256_hex(body).substr(0, 20) + "\"";
  Response response;
  response.content_type = type;
  response.body = std::move(body);
  response.cache_control = "no-cache";  // kept, but asked for whether it is still the same
  response.fields.emplace_back("ETag", etag);
  return {"GET", path, answer_at_once([response, etag](const Request& request) {
            if (request.if_none_match != etag) return response;
            Response same = response;
            same.status = 304;
            same.body.clear();
            return same;
          })};
}

}  // namespace

std::string PageFile::text() const {
  std::string whole;
  for (const std::string_view piece : pieces) whole += piece;
  return whole;
}

void add_page_routes(Router& router) {
  for (const PageFile& file : page_files()) {
    const std::string path(file.path == "/index.html" ? "/" : file.path);
    router.add(route_for(path, std::string(file.content_type) + "; charset=utf-8", file.text()));
  }
  for (const Language language : languages) {
    router.add(route_for("/texts/" + std::string(language_tag(language)) + ".json",
                         "application/json", catalogue_json(language)));
  }
}

}  // namespace nestcup::daemon
