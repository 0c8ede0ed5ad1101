// The bench file (TOML): ports, probes, store and sockets of one bench, as checked values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/calibration.hpp"
#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup {

/// A [[notebook]] entry; the kinds are carried out by core/notebook.
struct NotebookSettings {
  std::string kind;                   ///< folder | webdav | postgres
  std::string target;                 ///< a folder's absolute path, or an address as written
  std::string user{};                 ///< webdav: who logs in; empty: nobody
  std::string password_file{};        ///< absolute path of the file with the password
  std::string password_credential{};  ///< name of the service's credential that holds it, instead
  std::string login{};                ///< webdav: how: basic | digest
  std::string ca_file{};  ///< webdav: absolute path of certificates to trust, instead of
                          ///< the system's
  bool charts = true;     ///< folder, webdav: whether each run comes with its charts
};

/// [class]: the course's database whose benches the page shows side by side.
struct ClassSettings {
  NotebookSettings database;  ///< of the kind postgres
  double hours = 12.0;        ///< how far back runs are shown
  bool letters = false;       ///< letters instead of the benches' names
};

/// [page]: for whom the page that [bench] listen offers is there, and how many of them.
struct PageSettings {
  std::vector<std::string> names;  ///< under which a proxy offers it; a port may stand behind one
  int connections = 64;            ///< open at the same time, watchers of the stream among them
  int connections_per_address =
      16;  ///< the same of one address; those of this machine go uncounted
};

/// A whole bench file. Paths are made absolute against the file's own folder.
struct BenchFile {
  std::string path;
  std::string name;
  double interval_s = 0.5;                             ///< how often polled probes are asked
  double after_period_s = 180.0;                       ///< wanted length of the after period
  double calibration_max_age_days = usual_valid_days;  ///< older ones are a finding
  /// How long readings outside runs stay in the store; nothing: for ever, as those of runs do.
  std::optional<double> keep_readings_days = 90.0;
  std::string store;
  std::string control;  ///< Unix socket
  std::string listen;   ///< host:port, empty for none
  PageSettings page;
  std::string sheet;  ///< empty for none
  std::vector<PortSettings> ports;
  std::vector<ProbeSettings> probes;  ///< those of a run first, then the others; in their order
  std::vector<NotebookSettings> notebooks;
  std::optional<ClassSettings> class_place{};
};

/// So many probes of one bench are read.
inline constexpr std::size_t most_probes = 1024;

/// How many of the bench's probes take part in runs; they are its first ones.
[[nodiscard]] std::size_t run_probes(const BenchFile& bench);

/// A bench file, or everything that is wrong with it.
struct BenchFileCheck {
  std::optional<BenchFile> bench;  ///< there only where `problems` is empty
  std::vector<Error> problems;     ///< each with file, line and key; in the file's order
};

/// Reads and checks a bench file; touches no device.
/// @errors (in problems) no_input: no such file; bad_configuration: all else
[[nodiscard]] BenchFileCheck read_bench_file(const std::string& path);

/// The same from text; `path` names it in messages and is the base of relative paths.
[[nodiscard]] BenchFileCheck parse_bench_file(const std::string& text, const std::string& path);

}  // namespace nestcup
