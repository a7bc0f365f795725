// Lengths as the shop reads them; the same forms as parts/lengths.py writes. Nothing is worked out from them.

const MM = { in: 25.4, ft: 25.4, mm: 1, cm: 10, m: 1000 };

export function lengthText(mm, units, parts = 16) {
  if (units !== "in" && units !== "ft") {
    const places = { mm: 1, cm: 2, m: 4 }[units];
    return `${(mm / MM[units]).toFixed(places)} ${units}`;
  }
  let marks = Math.floor((Math.abs(mm) / 25.4) * parts + 0.5);
  const sign = mm < 0 && marks ? "-" : "";
  let inches = Math.floor(marks / parts);
  let [top, bottom] = [marks % parts, parts];
  while (top && top % 2 === 0) [top, bottom] = [top / 2, bottom / 2];
  const feet = units === "ft" && inches >= 12 ? `${Math.floor(inches / 12)}' ` : "";
  if (feet) inches %= 12;
  const rest = top ? `${top}/${bottom}` : "";
  const inch = inches || !rest ? `${inches}${rest ? "-" : ""}` : "";
  return `${sign}${feet}${inch}${rest}"`;
}
