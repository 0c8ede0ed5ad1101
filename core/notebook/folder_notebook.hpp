// A notebook that is a folder: one folder a run, an index a month, and where each bench's chain of
// records ends. Files that people wrote into are never written over: what is new goes beside them.
// The folder may be anything's (a synchronised folder, a git repository); nothing but these files
// is touched.
#pragma once

#include <string>

#include "core/notebook/arrived.hpp"
#include "core/notebook/notebook.hpp"

namespace nestcup {

class FolderNotebook : public Notebook {
 public:
  FolderNotebook(const NotebookSettings& settings, std::string mark);

  [[nodiscard]] const std::string& name() const override { return name_; }
  [[nodiscard]] bool wants_charts() const override { return wants_charts_; }
  /// @errors unavailable: the folder is gone (moved, not mounted); cannot_create, not_permitted, io
  [[nodiscard]] Result<void> begin(bool has_runs) override;
  [[nodiscard]] Result<Arrival> bring(const RunEntry& entry) override;
  [[nodiscard]] Result<KeptHead> head(const std::string& book, const std::string& bench) override;
  [[nodiscard]] Result<void> keep_head(const KeptHead& head) override;
  [[nodiscard]] Result<std::vector<std::string>> keep_index(const KeptHead& head,
                                                            const IndexNews& news) override;

 private:
  /// A run's folder that is there already, and the revision that comes to it.
  struct Place {
    const std::string& path;
    const ArrivedRun& there;
    int revision;
  };

  [[nodiscard]] Result<Arrival> bring_to(const std::string& path, const RunEntry& entry);
  [[nodiscard]] Result<void> bring_file(const Place& place, const BundleFile& file,
                                        Arrival& arrival);
  [[nodiscard]] Result<std::string> path_for(const RunEntry& entry) const;

  std::string root_;
  std::string name_;
  bool wants_charts_;
  std::string mark_;
};

}  // namespace nestcup
