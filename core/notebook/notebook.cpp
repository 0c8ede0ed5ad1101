#include "core/notebook/notebook.hpp"

#include <fmt/format.h>

#include "core/notebook/folder_notebook.hpp"
#include "core/notebook/postgres/postgres_notebook.hpp"
#include "core/notebook/secret.hpp"
#include "core/notebook/webdav/webdav_notebook.hpp"

namespace nestcup {
namespace {

constexpr const char* head_format = "nestcup-chain";

}  // namespace

std::string notebook_name(const NotebookSettings& settings) {
  return settings.kind + " " + settings.target;
}

Result<std::unique_ptr<Notebook>> open_notebook(const NotebookSettings& settings,
                                                const std::string& mark,
                                                std::function<bool()> go_on) {
  if (settings.kind == "folder") {
    return std::unique_ptr<Notebook>(std::make_unique<FolderNotebook>(settings, mark));
  }
  if (settings.kind == "postgres") {
    auto session = open_postgres(settings, std::move(go_on));
    if (!session) return session.error();
    return std::unique_ptr<Notebook>(
        std::make_unique<PostgresNotebook>(notebook_name(settings), std::move(*session)));
  }
  auto password = notebook_password(settings);
  if (!password) return password.error();
  if (settings.kind == "webdav") {
    HttpLogin login{settings.user, std::move(*password), settings.login == "digest",
                    settings.ca_file};
    return std::unique_ptr<Notebook>(std::make_unique<WebdavNotebook>(
        settings, mark, HttpClient(std::move(login), std::move(go_on))));
  }
  return Error{
      Fault::bad_configuration,
      fmt::format("notebook of kind \"{}\": this program does not carry to it", settings.kind)};
}

std::string head_file_name(const KeptHead& head) {
  return fmt::format("chain {}.json", bench_words(head));
}

std::string head_text(const KeptHead& head) {
  return Json{{"format", head_format},    {"version", 1},
              {"bench", head.bench},      {"book", head.head.book},
              {"links", head.head.links}, {"last_sha256", head.head.last_sha256}}
             .dump(2) +
         "\n";
}

Result<KeptHead> parse_head(const std::string& text, const std::string& name) {
  try {
    const Json json = Json::parse(text);
    if (json.value("format", "") == head_format) {
      return KeptHead{json.at("bench"),
                      {json.at("book"), json.at("links").get<int>(), json.at("last_sha256")}};
    }
  } catch (const Json::exception&) {
    // Told below, as all else that is none.
  }
  return Error{Fault::bad_data,
               name + ": does not say where a chain of records ends; it was damaged or edited"};
}

}  // namespace nestcup
