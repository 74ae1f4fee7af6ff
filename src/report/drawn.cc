#include "report/drawn.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/ink.h"
#include "report/phrases.h"
#include "report/table.h"

namespace steerbench {
namespace {

std::string_view WayWords(Way way) { return SideOf(Pair::kRack, way == Way::kLeft); }

// "2.78 to 2.92 turns".
std::string MiddleText(const Spread& spread, double tolerance, Kind kind, const Units& units) {
  // A ± that is next to none has no digits for what spreads.
  const double digit = std::max(tolerance, 0.5 * (spread.high - spread.low));
  const std::string high = RoundedText(spread.high, digit, kind, units);
  std::string low = RoundedText(spread.low, digit, kind, units);
  // One unit behind both is enough.
  const std::size_t unit = high.find(' ');
  if (unit != std::string::npos && low.ends_with(high.substr(unit))) low.erase(low.find(' '));
  return fmt::format("{} to {}", low, high);
}

// The torque that a pull at the rim is, which stands before it in the catalogue.
bool IsPull(Output id) {
  if (id == Output{}) return false;
  const OutputInfo& before = InfoOf(static_cast<Output>(static_cast<int>(id) - 1));
  const OutputInfo& info = InfoOf(id);
  return info.kind == Kind::kForce && before.kind == Kind::kTorque && info.label == before.label;
}

class Tabler {
 public:
  Tabler(const SetupReport& setup, const Units& units)
      : setup_(setup), units_(units), drawn_(*setup.drawn) {}

  DrawnTable Run() {
    for (const Way way : kWays) Ends(way);
    for (const CheckInfo& info : Checks()) {
      const auto at = static_cast<std::size_t>(info.id);
      if (setup_.results.check[at].absent) continue;
      See(info.key, {}, std::string(info.label), drawn_.exceeded[at]);
    }
    const auto sort = [](std::vector<DrawnTable::Share>& shares) {
      std::ranges::stable_sort(shares, std::ranges::greater{}, &DrawnTable::Share::share);
    };
    sort(table_.exceeded);
    for (auto& first : table_.first) sort(first);
    for (const OutputInfo& info : Outputs()) Spreads(info);
    Remark();
    return std::move(table_);
  }

 private:
  DrawnTable::Share ShareOf(std::string_view key, std::optional<Way> way, std::string name,
                            const DrawnShare& share) const {
    std::string note;
    if (share.known < drawn_.draws)
      note = fmt::format("of the {} in which it is known", share.known);
    if (share.partly > 0) {
      note += fmt::format("{}or more: a part of it is not known in {}", note.empty() ? "" : ", ",
                          share.partly);
    }
    return {std::string(key), way,         std::move(name),
            share.Value(),    share.known, TenthPercent(share.Value()),
            std::move(note)};
  }

  // A limit: exceeded in some draws, in none, or known in few or none.
  void See(std::string_view key, std::optional<Way> way, std::string name,
           const DrawnShare& share) {
    const std::size_t whole = share.known - share.partly;  // in so many it is known for certain
    if (whole == 0) {
      unknown_.push_back(std::move(name));
      return;
    }
    ++known_;
    if (share.count > 0) {
      table_.exceeded.push_back(ShareOf(key, way, std::move(name), share));
    } else if (whole < drawn_.draws) {
      partly_.push_back(fmt::format("{} in {}", name, whole));
    }
  }

  void Ends(Way way) {
    for (const PropagatedEnd& e : setup_.results.ends[Index(way)]) {
      const auto at = static_cast<std::size_t>(e.end);
      const RackEndInfo& info = RackEnds()[at];
      if (!e.margin.absent) {
        See(info.key, way, fmt::format("{}, {}", info.label, WayWords(way)),
            drawn_.end_exceeded[Index(way)][at]);
      }
    }
    for (const RackEndInfo& info : RackEnds()) {
      const DrawnShare& first = drawn_.first[Index(way)][static_cast<std::size_t>(info.id)];
      if (first.count == 0) continue;
      table_.first[Index(way)].push_back(ShareOf(info.key, way, std::string(info.label), first));
    }
  }

  void Spreads(const OutputInfo& info) {
    const auto& figure = setup_.results[info.id].figure;
    const auto& spread = drawn_.result[static_cast<std::size_t>(info.id)];
    if (!figure || figure->tolerance == 0.0 || !spread) return;
    if (spread->known < drawn_.draws && !IsPull(info.id)) {
      partly_.push_back(fmt::format("{} in {}", NameOf(info), spread->known));
    }
    if (!SpreadsOtherwise(*spread, figure->value, figure->tolerance) || IsPull(info.id)) return;
    DrawnTable::Row row{info.id, NameOf(info), FigureText(*figure, info.kind, units_),
                        MiddleText(*spread, figure->tolerance, info.kind, units_)};
    if (const auto both = NameOfBoth(info); both && !table_.otherwise.empty()) {
      DrawnTable::Row& left = table_.otherwise.back();
      if (RightOf(left.of) == info.id && left.stated == row.stated) {
        left.name = *both;
        return;
      }
    }
    table_.otherwise.push_back(std::move(row));
  }

  void Remark() {
    const auto list = [](const std::vector<std::string>& names) {
      constexpr std::size_t kMost = 6;
      std::string text;
      for (std::size_t i = 0; i < std::min(names.size(), kMost); ++i) {
        text += (i > 0 ? "; " : "") + names[i];
      }
      return names.size() > kMost ? fmt::format("{} and {} more", text, names.size() - kMost)
                                  : text;
    };
    if (table_.exceeded.empty() && known_ > 0) {
      table_.remarks.push_back(
          fmt::format("No limit that is known is exceeded in any of the {}.", drawn_.draws));
    }
    if (!unknown_.empty()) {
      table_.remarks.push_back(fmt::format("Limits not known: {}.", list(unknown_)));
    }
    if (!partly_.empty()) {
      table_.remarks.push_back(
          fmt::format("Known in only so many of the {}: {}.", drawn_.draws, list(partly_)));
    }
    const bool any = std::ranges::any_of(setup_.results.result, [](const PropagatedResult& r) {
      return r.figure && r.figure->tolerance > 0.0;
    });
    if (table_.otherwise.empty() && any) {
      table_.remarks.emplace_back("The middle 95 % of every known result lies as its ± says.");
    }
  }

  const SetupReport& setup_;
  const Units& units_;
  const DrawnOver& drawn_;
  DrawnTable table_;
  std::size_t known_ = 0;  // limits
  std::vector<std::string> unknown_, partly_;
};

}  // namespace

DrawnTable DrawnTableOf(const SetupReport& setup, const Units& units) {
  return Tabler(setup, units).Run();
}

std::string DrawnLines(const SetupReport& setup, const Units& units) {
  if (!setup.drawn) return {};
  const DrawnTable table = DrawnTableOf(setup, units);
  std::string out;
  for (const Way way : kWays) {
    std::string list;
    for (const auto& s : table.first[Index(way)]) {
      list += fmt::format("{}{} in {}{}{}", list.empty() ? "" : ", ", s.name, s.text,
                          s.note.empty() ? "" : " ", s.note);
    }
    if (list.empty()) continue;
    out += Wrap(fmt::format("With the {} it runs out first at: {}", WayWords(way), list), kPage - 2,
                4);
  }
  if (!table.exceeded.empty()) {
    out += "    Exceeded:\n";
    Table limits;
    for (const auto& s : table.exceeded) limits.Add({s.name, s.text, s.note});
    out += limits.Set(6);
  }
  if (!table.otherwise.empty()) {
    out += "    Spread otherwise than their ± says, where the middle 95 % of the draws lie:\n";
    for (const auto& row : table.otherwise) {
      out += Wrap(fmt::format("{}, {}: {}", row.name, row.stated, row.middle), kPage - 2, 6);
    }
  }
  for (const std::string& remark : table.remarks) out += Wrap(remark, kPage - 2, 4);
  return out;
}

}  // namespace steerbench
