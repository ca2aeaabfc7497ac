// routes.h: which path shows or does what.
#pragma once

#include <optional>
#include <string>

#include "bench/access.h"
#include "bench/page.h"
#include "bench/shop.h"
#include "bench/unit_sheet.h"
#include "bench/wire.h"
#include "calendar/zone.h"

namespace handlot::bench {

class Routes {
 public:
  Routes(Shop& shop, Access& access, Wire& wire, calendar::Zone zone, std::string url, bool can_replan,
         std::string notice);

  std::optional<Answer> early(const Request& request);
  Answer handle(const Request& request);

 private:
  Answer show(const Request& request);
  Answer write(const Request& request);
  std::optional<Answer> refuse_stranger(const Request& request);
  Answer do_form(const Request& request);
  Answer do_photo(const Request& request);
  Answer special(const Request& request, bool& known);
  void plan_without();
  Answer plan_holds(const Request& request);
  Answer written(const Request& request, const Result<Written>& result);
  Answer refusal(const Request& request, const Diagnostics& why);
  Answer state_json(const Request& request);
  Answer unit(const Request& request, const std::string& rest);
  Photos photos_of(const Request& request, const std::string& number);
  Answer live(const Request& request);
  Answer export_file();
  template <class F>
  Answer with_desk(const Request& request, F make);

  Shop& shop_;
  Access& access_;
  Wire& wire_;
  calendar::Zone zone_;
  std::string url_;
  bool can_replan_;
  const std::string notice_;
};

/// Files compiled into the program: "bench.css". Empty: there is none of that name.
std::optional<Answer> built_in_file(const std::string& name);

}  // namespace handlot::bench
