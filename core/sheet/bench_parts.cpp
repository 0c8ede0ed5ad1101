#include "core/sheet/bench_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>

#include "core/sheet/address.hpp"

namespace nestcup {

namespace {

/// Longest path that fits into the address of a Unix socket (unix(7): 108 bytes with the final 0).
constexpr std::size_t longest_socket_path = 107;

/// The folder of the benches that are services (tools/package/nestcupd@.service).
constexpr const char* service_benches = "/etc/nestcup";

const std::array<std::string, 3> notebook_kinds{"folder", "webdav", "postgres"};
const std::array<std::string, 2> login_kinds{"basic", "digest"};
const std::array<std::string, 2> class_names{"benches", "letters"};

void read_login(TomlSection& section, const std::string& file_path, NotebookSettings& notebook) {
  notebook.user = section.text("user").value_or("");
  const auto login = section.choice("login", login_kinds);
  notebook.login = login_kinds[login.value_or(0)];
  if (section.has("login") && notebook.user.empty()) {
    section.problem("login", "needs a user; name it, or leave this out");
  }
  const auto ca_file = section.text("ca_file");
  if (ca_file) notebook.ca_file = path_beside(file_path, *ca_file);
}

void read_password(TomlSection& section, const std::string& file_path, NotebookSettings& notebook) {
  const auto file = section.text("password_file");
  if (file) notebook.password_file = path_beside(file_path, *file);
  notebook.password_credential = section.text("password_credential").value_or("");
  if (file && section.has("password_credential")) {
    section.problem("password_credential", "and password_file together: give one of them");
  }
  if (notebook.password_credential.find('/') != std::string::npos) {
    section.problem("password_credential", "is no name of a credential: it has a /");
  }
  const bool has_password = file || section.has("password_credential");
  if (notebook.kind == "webdav" && has_password == notebook.user.empty()) {
    section.problem("user", has_password ? "is missing; the password is whose?"
                                         : "needs password_file or password_credential");
  }
}

void check_address(TomlSection& section, const NotebookSettings& notebook) {
  const std::string_view url = notebook.target;
  if (url.empty()) return;  // told already
  const std::string_view authority = authority_of(url);
  const std::string_view user = authority.substr(0, authority.rfind('@') + 1);
  const bool webdav = notebook.kind == "webdav";
  // Its words are not repeated where they hold a password.
  if (user.find(':') != std::string_view::npos || (webdav && !user.empty())) {
    section.problem("url", webdav ? "holds who logs in; put that into user, and the password into "
                                    "a file that password_file names"
                                  : "holds a password; put it into a file that password_file "
                                    "names");
    return;
  }
  const bool secure = url.starts_with("https://");
  if (webdav && (authority.empty() || (!secure && !url.starts_with("http://")) ||
                 url.find_first_of("?#") != std::string_view::npos)) {
    section.problem("url", fmt::format("is \"{}\", expected an address such as "
                                       "\"https://notes.example/lab\"",
                                       url));
  } else if (webdav && !secure && notebook.login == "basic" && !notebook.user.empty() &&
             !is_loopback(authority)) {
    section.problem("url",
                    "is not encrypted, and the password would go over the net as it is; use "
                    "https://, or login = \"digest\"");
  }
}

/// Where store and socket of a bench lie that its file says nothing about: beside the file; of a
/// service's bench, where nothing may be written, in the directories that its unit has
/// (tools/package/nestcupd@.service). Commands must find them by the file alone, so the variables
/// that systemd sets for the daemon are no help.
struct UsualPlaces {
  std::string store;
  std::string control;
};

UsualPlaces usual_places(const BenchFile& bench) {
  const auto file = std::filesystem::absolute(bench.path).lexically_normal();
  const std::string store = bench.name + ".db", control = bench.name + ".sock";
  if (file.parent_path() != service_benches) return {store, control};
  const std::string instance = file.stem().string();
  return {fmt::format("/var/lib/nestcup/{}/{}", instance, store),
          fmt::format("/run/nestcup/{}/{}", instance, control)};
}

}  // namespace

std::string path_beside(const std::string& file_path, const std::string& written) {
  const auto folder = std::filesystem::absolute(file_path).parent_path();
  return (folder / written).lexically_normal().string();
}

void read_bench_table(TomlSection section, BenchFile& bench) {
  bench.name = section.required_text("name", "the bench's name, such as \"bench-4\"");
  if (bench.name.find_first_of("/\n\t") != std::string::npos || bench.name.starts_with('.')) {
    section.problem("name", fmt::format("is \"{}\", expected a name that can begin a file's name: "
                                        "no /, no line break, no dot in front",
                                        bench.name));
  }
  bench.interval_s = section.number("interval_s", {0.05, 60.0}).value_or(bench.interval_s);
  bench.after_period_s =
      section.number("after_period_s", {20.0, 3600.0}).value_or(bench.after_period_s);
  bench.calibration_max_age_days =
      section.number("calibration_max_age_days", {1.0, 36500.0}).value_or(usual_valid_days);
  const auto beside = [&](std::string_view key, const std::string& fallback) {
    const auto written = section.text(key);
    if (written == "") section.problem(key, "is empty, expected a path");
    const std::string used = written.value_or(fallback);
    return used.empty() ? used : path_beside(bench.path, used);
  };
  const UsualPlaces usual = usual_places(bench);
  bench.store = beside("store", usual.store);
  bench.control = beside("control", usual.control);
  bench.sheet = beside("sheet", "");
  if (bench.control.size() > longest_socket_path) {
    section.problem("control",
                    fmt::format("{} has {} bytes, expected at most {} (limit of Unix "
                                "sockets); name a shorter path, such as one in /run",
                                bench.control, bench.control.size(), longest_socket_path));
  }
  const auto listen = section.text("listen");
  bench.listen = listen.value_or("");
  if (listen && !is_host_and_port(bench.listen)) {
    section.problem("listen", fmt::format("is \"{}\", expected host:port such as "
                                          "\"127.0.0.1:8734\"; leave it out for no page",
                                          bench.listen));
  }
  section.refuse_other_keys();
}

NotebookSettings read_notebook(TomlSection& section, const std::string& file_path) {
  NotebookSettings notebook;
  const auto kind = section.required_choice("kind", notebook_kinds);
  if (!kind) return notebook;  // which keys belong here depends on it
  notebook.kind = notebook_kinds[*kind];
  if (notebook.kind == "folder") {
    const std::string written = section.required_text("path", "the folder's path");
    if (!written.empty()) notebook.target = path_beside(file_path, written);
  } else {
    notebook.target = section.required_text("url", "the address of the notebook");
    if (notebook.kind == "webdav") read_login(section, file_path, notebook);
    read_password(section, file_path, notebook);
    check_address(section, notebook);
  }
  if (notebook.kind != "postgres") notebook.charts = section.flag("charts").value_or(true);
  section.refuse_other_keys();
  return notebook;
}

ClassSettings read_class(TomlSection section, const std::string& file_path) {
  ClassSettings found;
  found.database.kind = "postgres";
  found.database.target = section.required_text(
      "url", "the course's database, such as \"postgres://teacher@db.school.example/course\"");
  const std::string& url = found.database.target;
  if (!url.empty() && !url.starts_with("postgres://") && !url.starts_with("postgresql://")) {
    section.problem("url", "is no database, expected \"postgres://USER@HOST/DATABASE\"");
  }
  read_password(section, file_path, found.database);
  check_address(section, found.database);
  found.hours = section.number("hours", {0.5, 24.0 * 366.0}).value_or(found.hours);
  found.letters = section.choice("names", class_names).value_or(0) == 1;
  section.refuse_other_keys();
  return found;
}

}  // namespace nestcup
