// Passwords of notebooks: read where they are needed, kept nowhere, told to nobody.
#pragma once

#include <string>

#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// The password that the settings name: the first line of a file, or of a credential that the
/// service manager hands over (systemd.exec(5), $CREDENTIALS_DIRECTORY). Empty where they name
/// none.
/// @errors bad_configuration: not there, empty, or a file that others may read; not_permitted. What
///         is in the file is never told
[[nodiscard]] Result<std::string> notebook_password(const NotebookSettings& settings);

}  // namespace nestcup
