// What the columns of a file of readings are, for programs that know nothing of this one: W3C
// "Metadata Vocabulary for Tabular Data" (CSVW, 2015). The text lies beside readings.csv as
// readings.csv-metadata.json.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

/// A CSV file as it is written: comment lines, then the header, then rows; UTF-8, commas.
struct CsvTable {
  std::string url = "readings.csv";  ///< its name beside the metadata
  std::string title;                 ///< may be empty
  /// The header: "time_s", "<probe>_degC" (cup, added, room), "<probe>_raw_<unit>".
  std::vector<std::string> columns;
  std::size_t comment_lines = 0;  ///< before the header, each beginning with '#'
  std::string line_end = "\n";
};

/// @errors bad_data: no columns, the first is not time_s, one is twice or of no known kind; a URL
///         that is no path (`check_bundle_path`)
[[nodiscard]] Result<std::string> csvw_metadata(const CsvTable& table);

}  // namespace nestcup
