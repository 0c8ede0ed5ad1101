#include "core/notebook/secret.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>

#include "core/notebook/place_steps.hpp"

namespace nestcup {
namespace {

constexpr std::size_t longest_password = 1024;

Error secret_fault(const std::string& path, std::string_view what) {
  return {Fault::bad_configuration, fmt::format("{}: {}", path, what)};
}

Result<std::string> first_line(const std::string& path) {
  const auto bytes = bytes_at(path);
  if (!bytes) return Error{Fault::not_permitted, path + ": cannot be read; check the rights"};
  std::string line = bytes->substr(0, bytes->find_first_of("\r\n"));
  if (line.empty()) return secret_fault(path, "its first line is empty, expected a password");
  if (line.size() > longest_password || line.find('\0') != std::string::npos) {
    return secret_fault(path, "its first line is no password: too long, or not text");
  }
  return line;
}

/// Credentials are the service manager's to guard; a file is its owner's.
Result<std::string> own_file(const std::string& path) {
  struct stat status {};
  if (stat(path.c_str(), &status) != 0) {
    return secret_fault(path, fmt::format("no password there: {}", std::strerror(errno)));
  }
  if (!S_ISREG(status.st_mode)) return secret_fault(path, "is no file with a password");
  if ((status.st_mode & (S_IRWXG | S_IRWXO)) != 0) {
    return secret_fault(path,
                        "others may read the password there; chmod 600 it, and think of "
                        "changing the password");
  }
  return first_line(path);
}

}  // namespace

Result<std::string> notebook_password(const NotebookSettings& settings) {
  if (!settings.password_file.empty()) return own_file(settings.password_file);
  if (settings.password_credential.empty()) return std::string{};
  const char* const folder = std::getenv("CREDENTIALS_DIRECTORY");
  if (folder == nullptr) {
    return secret_fault(settings.password_credential,
                        "is a credential, but no service manager handed any over; by hand use "
                        "password_file");
  }
  return first_line(std::string(folder) + "/" + settings.password_credential);
}

}  // namespace nestcup
