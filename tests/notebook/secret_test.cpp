#include "core/notebook/secret.hpp"

#include <sys/stat.h>

#include <cstdlib>

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"

using namespace nestcup;

namespace {

std::string password_file(const TemporaryFolder& folder, const std::string& text, mode_t mode) {
  const std::string path = folder.at("secret");
  std::ofstream(path, std::ios::binary) << text;
  REQUIRE(chmod(path.c_str(), mode) == 0);
  return path;
}

Result<std::string> read(const std::string& path) {
  NotebookSettings settings;
  settings.password_file = path;
  return notebook_password(settings);
}

}  // namespace

TEST_CASE("a password is the first line of its file") {
  const TemporaryFolder folder;
  CHECK(*read(password_file(folder, "geheim wort \r\nmore\n", 0600)) == "geheim wort ");
  CHECK(*read(password_file(folder, "no line end", 0400)) == "no line end");
  CHECK(notebook_password({})->empty());
}

TEST_CASE("a password that others may read is refused, and is not told") {
  const TemporaryFolder folder;
  for (const mode_t mode : {0640U, 0604U, 0660U}) {
    const auto password = read(password_file(folder, "geheim\n", mode));
    REQUIRE_FALSE(password);
    CHECK(password.error().kind == Fault::bad_configuration);
    CHECK(password.error().text.find("chmod 600") != std::string::npos);
    CHECK(password.error().text.find("geheim") == std::string::npos);
  }
  CHECK(read(password_file(folder, "\ngeheim\n", 0600)).error().text.find("first line is empty") !=
        std::string::npos);
  CHECK(read(folder.at("none")).error().text.find("No such file") != std::string::npos);
  CHECK(read(folder.at("")).error().kind == Fault::bad_configuration);
}

TEST_CASE("a credential comes from the service manager's folder") {
  const TemporaryFolder folder;
  NotebookSettings settings;
  settings.password_credential = "secret";
  unsetenv("CREDENTIALS_DIRECTORY");
  CHECK(notebook_password(settings).error().text.find("no service manager") != std::string::npos);
  password_file(folder, "geheim\n", 0440);
  REQUIRE(setenv("CREDENTIALS_DIRECTORY", folder.at("").c_str(), 1) == 0);
  CHECK(*notebook_password(settings) == "geheim");
  unsetenv("CREDENTIALS_DIRECTORY");
}
