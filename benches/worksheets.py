#!/usr/bin/env python3
"""Worksheets of any length for measuring: sections of eight to ten data and about eleven formulas, each coupled to one above.

  benches/worksheets.py -n SECTIONS [-s SEED] [-f setsquare|json|stats] -o FILE

The same arguments give the same worksheet. Each formula is checked for dimensions here, and its value is computed, in
the JSON form: {"title", "seed", "sections": [{"id", "title", "flavour", "prose": [Markdown …], "items": […]}]} with items
  {"kind": "given", "sym", "value", "unit", "si", "note"} and
  {"kind": "eq", "sym", "expr" (infix), "ast" (nested lists), "unit", "scale", "expect", "note"},
where "si" is the value in coherent SI units, "scale" the SI size of the unit, "expect" the result in that unit.
"""
import argparse, json, math, random, re, sys

# ---- units: symbol -> (factor to SI, dims over kg m s K mol) -------------------------------
Z = (0, 0, 0, 0, 0)
U = {"1": (1, Z), "kg": (1, (1,0,0,0,0)), "g": (1e-3, (1,0,0,0,0)), "m": (1, (0,1,0,0,0)), "mm": (1e-3, (0,1,0,0,0)),
     "cm": (1e-2, (0,1,0,0,0)), "s": (1, (0,0,1,0,0)), "min": (60, (0,0,1,0,0)), "K": (1, (0,0,0,1,0)), "mol": (1, (0,0,0,0,1)),
     "L": (1e-3, (0,3,0,0,0)), "N": (1, (1,1,-2,0,0)), "kN": (1e3, (1,1,-2,0,0)), "Pa": (1, (1,-1,-2,0,0)),
     "mPa": (1e-3, (1,-1,-2,0,0)), "kPa": (1e3, (1,-1,-2,0,0)), "MPa": (1e6, (1,-1,-2,0,0)), "GPa": (1e9, (1,-1,-2,0,0)),
     "J": (1, (1,2,-2,0,0)), "kJ": (1e3, (1,2,-2,0,0)), "W": (1, (1,2,-3,0,0)), "kW": (1e3, (1,2,-3,0,0)),
     "deg": (math.pi/180, Z), "rad": (1, Z)}

def unit(text):
    f, d = 1.0, [0]*5
    # grammar: term (op term)*, with one optional parenthesised denominator a/(b*c)
    m = re.fullmatch(r"([^/]+)(?:/\(([^)]*)\)|/([^()/]+))?", text)
    num, den = m.group(1), m.group(2) or m.group(3)
    for part, sg in ((num, 1), (den, -1)):
        if not part: continue
        for t in part.split("*"):
            b, _, e = t.partition("^"); e = sg*int(e or 1)
            uf, ud = U[b]; f *= uf**e; d = [x+y*e for x, y in zip(d, ud)]
    return f, tuple(d)

# ---- tiny infix parser: text -> nested lists ------------------------------------------------
TOK = re.compile(r"\s*(\d+\.?\d*(?:e-?\d+)?|[A-Za-z_][A-Za-z_0-9]*|[-+*/^()])")
FN = {"sin", "cos", "sqrt", "ln", "log10"}
def parse(s):
    toks = TOK.findall(s); toks.append(""); i = 0
    def peek(): return toks[i]
    def take():
        nonlocal i; i += 1; return toks[i-1]
    def add():
        a = mul()
        while peek() in "+-" and peek(): o = take(); a = [o, a, mul()]
        return a
    def mul():
        a = pw()
        while peek() in "*/" and peek(): o = take(); a = [o, a, pw()]
        return a
    def pw():
        a = atom()
        if peek() == "^": take(); return ["^", a, float(take())]
        return a
    def atom():
        t = take()
        if t == "(": a = add(); assert take() == ")"; return a
        if t in FN: assert take() == "("; a = add(); assert take() == ")"; return [t, a]
        if t[0].isdigit(): return ["num", float(t)]
        return ["sym", t]
    r = add(); assert peek() == "", s
    return r

def ev(a, env):
    """-> (SI value, dims); raises on a dimension error"""
    o = a[0]
    if o == "num": return a[1], Z
    if o == "sym": return (math.pi, Z) if a[1] == "pi" else env[a[1]]
    x, d = ev(a[1], env)
    if o == "^": return x**a[2], tuple(k*a[2] for k in d)
    if o == "sqrt": return math.sqrt(x), tuple(k/2 for k in d)
    if o in FN:
        if any(d): raise ValueError(f"{o} of a quantity with dimension")
        return {"sin": math.sin, "cos": math.cos, "ln": math.log, "log10": math.log10}[o](x), Z
    y, e = ev(a[2], env)
    if o == "*": return x*y, tuple(p+q for p, q in zip(d, e))
    if o == "/": return x/y, tuple(p-q for p, q in zip(d, e))
    if d != e: raise ValueError("sum of unlike dimensions")
    return (x+y if o == "+" else x-y), d

# ---- section templates; {i} own index, {j} earlier index ----------------------------------------
COUPLE = [("k_{i}", "1/2 + 1/2*P_{j}/(P_{j} + N_{i})", "1", "share carried over from section {j}")]
T = {
"fluid": dict(names=["Feed line", "Return main", "Bypass branch", "Cooling circuit", "Sump riser"], g=[
  ("d", 40, 220, "mm", "bore of the pipe"), ("l", 12, 180, "m", "developed length"), ("q", 1.5, 24, "L/s", "volume flow"),
  ("r", 870, 1130, "kg/m^3", "density"), ("m", 0.6, 4.5, "mPa*s", "dynamic viscosity"), ("e", 0.02, 0.3, "mm", "wall roughness"),
  ("t", 2, 28, "deg", "slope of the line"), ("c", 0.55, 0.83, "1", "pump efficiency")], e=[
  ("A_{i}", "pi*d_{i}^2/4", "cm^2", "flow area"), ("v_{i}", "q_{i}/A_{i}", "m/s", "mean velocity"),
  ("R_{i}", "r_{i}*v_{i}*d_{i}/m_{i}", "1", "Reynolds number"),
  ("f_{i}", "0.25/log10(e_{i}/(3.7*d_{i}) + 5.74/R_{i}^0.9)^2", "1", "friction factor"),
  ("p_{i}", "f_{i}*l_{i}/d_{i}*r_{i}*v_{i}^2/2", "kPa", "friction loss"),
  ("h_{i}", "r_{i}*g_0*l_{i}*sin(t_{i})", "kPa", "static lift"), ("s_{i}", "p_{i} + h_{i}", "kPa", "pressure to supply"),
  ("H_{i}", "s_{i}/(r_{i}*g_0)", "m", "head"), ("N_{i}", "s_{i}*q_{i}", "W", "hydraulic power"), *COUPLE,
  ("P_{i}", "N_{i}*k_{i}/c_{i}", "kW", "shaft power")]),
"structural": dict(names=["Hoist beam", "Gantry girder", "Platform joist", "Pipe-rack rail", "Crane trestle"], g=[
  ("b", 90, 260, "mm", "width of the section"), ("h", 180, 520, "mm", "depth of the section"), ("l", 2.4, 9, "m", "span"),
  ("q", 1.2, 18, "kN/m", "line load"), ("E", 9, 210, "GPa", "elastic modulus"), ("F", 4, 65, "kN", "sling force"),
  ("a", 35, 85, "deg", "angle of the sling"), ("r", 420, 7850, "kg/m^3", "density"), ("u", 0.05, 0.6, "m/s", "hoisting speed")], e=[
  ("A_{i}", "b_{i}*h_{i}", "cm^2", "area"), ("I_{i}", "b_{i}*h_{i}^3/12", "cm^4", "second moment of area"),
  ("W_{i}", "2*I_{i}/h_{i}", "cm^3", "section modulus"), ("w_{i}", "q_{i} + r_{i}*g_0*A_{i}", "kN/m", "load with self-weight"),
  ("M_{i}", "w_{i}*l_{i}^2/8 + F_{i}*sin(a_{i})*l_{i}/4", "kN*m", "midspan moment"),
  ("s_{i}", "M_{i}/W_{i} + F_{i}*cos(a_{i})/A_{i}", "MPa", "edge stress"),
  ("y_{i}", "5*w_{i}*l_{i}^4/(384*E_{i}*I_{i}) + F_{i}*sin(a_{i})*l_{i}^3/(48*E_{i}*I_{i})", "mm", "deflection"),
  ("o_{i}", "pi^2*sqrt(E_{i}*I_{i}/(r_{i}*A_{i}*l_{i}^4))", "1/s", "first natural frequency"),
  ("N_{i}", "F_{i}*sin(a_{i})*u_{i}", "W", "lifting power"), *COUPLE, ("P_{i}", "N_{i}*k_{i}", "kW", "drive power")]),
"thermo": dict(names=["Air cooler", "Gas preheater", "Compressor stage", "Waste-heat coil", "Dryer loop"], g=[
  ("m", 6, 90, "kg/min", "mass flow"), ("c", 0.98, 1.9, "kJ/(kg*K)", "specific heat"), ("T", 285, 330, "K", "inlet temperature"),
  ("V", 345, 520, "K", "outlet temperature"), ("p", 95, 140, "kPa", "inlet pressure"), ("z", 210, 720, "kPa", "outlet pressure"),
  ("n", 26, 44, "g/mol", "molar mass"), ("x", 28, 95, "W/(m^2*K)", "overall coefficient"), ("a", 40, 75, "K", "warm-end difference"),
  ("b", 6, 30, "K", "cold-end difference")], e=[
  ("R_{i}", "R_0/n_{i}", "J/(kg*K)", "specific gas constant"), ("r_{i}", "p_{i}/(R_{i}*T_{i})", "kg/m^3", "inlet density"),
  ("Q_{i}", "m_{i}*c_{i}*(V_{i} - T_{i})", "kW", "heat duty"), ("D_{i}", "(a_{i} - b_{i})/ln(a_{i}/b_{i})", "K", "log-mean difference"),
  ("S_{i}", "Q_{i}/(x_{i}*D_{i})", "m^2", "surface"),
  ("s_{i}", "c_{i}*ln(V_{i}/T_{i}) - R_{i}*ln(z_{i}/p_{i})", "J/(kg*K)", "entropy change"),
  ("y_{i}", "c_{i}/(c_{i} - R_{i})", "1", "ratio of specific heats"), ("w_{i}", "sqrt(y_{i}*R_{i}*T_{i})", "m/s", "speed of sound"),
  ("N_{i}", "m_{i}*R_{i}*T_{i}*ln(z_{i}/p_{i})", "W", "isothermal power"), *COUPLE, ("P_{i}", "N_{i}*k_{i}", "kW", "stage power")]),
}
PRE = [("g_0", 9.80665, "m/s^2", "standard gravity"), ("R_0", 8.314462618, "J/(mol*K)", "molar gas constant"),
       ("P_0", 3.2, "kW", "power handed over by the plant")]
FORMULA = ["$P = N\\,k$", "$N = F\\,v\\,\\sin\\alpha$", "$\\Delta p = f\\frac{L}{d}\\frac{\\rho v^2}{2}$", "$w = \\frac{5 q L^4}{384 E I}$",
           "$\\Delta T_m = \\frac{a-b}{\\ln(a/b)}$", "$\\mathrm{Re} = \\frac{\\rho v d}{\\mu}$", "$c = \\sqrt{\\kappa R T}$", "$k \\le 1$"]
W1 = "The survey of the site gave|The workshop drawing shows|Readings taken last spring support|The supplier's sheet lists|Two trial runs confirmed|The design brief asks for".split("|")
W2 = "values on the safe side|a margin of about one tenth|figures rounded to three digits|conditions at full load|a state after warm-up|numbers that the operator can check".split("|")
W3 = "They feed the equations below without further correction.|Where a figure is **disputed**, the larger one is kept.|The *worst* combination governs, so no reduction is taken.|A later section picks the result up again.|Losses at bends are left out; see the note in the table.".split("|")

def make(n, seed):
    rnd = random.Random(seed * 1000003 + 17); env, secs = {}, []
    def given(sym, v, u, note):
        f, d = unit(u); env[sym] = (v*f, d)
        return dict(kind="given", sym=sym, value=v, unit=u, si=v*f, note=note)
    for i in range(1, n+1):
        fl = rnd.choice(list(T)); t = T[fl]
        j = i-1 if i < 3 or rnd.random() < .6 else rnd.randrange(max(0, i-40), i)
        items = [given(*p) for p in PRE] if i == 1 else []
        for s, lo, hi, u, note in t["g"]:
            v = float(f"{rnd.uniform(lo, hi):.3g}"); items.append(given(f"{s}_{i}", v, u, note))
        for s, e, u, note in t["e"]:
            s, e, note = (x.format(i=i, j=j) for x in (s, e, note))
            a = parse(e); v, d = ev(a, env); f, ud = unit(u)
            if tuple(d) != tuple(ud): raise SystemExit(f"dimension error in {s} = {e}: {d} vs {u} {ud}")
            if not math.isfinite(v) or isinstance(v, complex): raise SystemExit(f"not finite: {s} = {e}")
            env[s] = (v, ud)
            items.append(dict(kind="eq", sym=s, expr=e, ast=a, unit=u, scale=f, expect=v/f, note=note))
        sent = lambda: f"{rnd.choice(W1)} {rnd.choice(W2)}. {rnd.choice(W3)}"
        f1, f2 = rnd.sample(FORMULA, 2)
        rows = "\n".join(f"| {rnd.choice(W2)} | {rnd.uniform(1, 90):.1f} | {rnd.choice(['tight', 'fair', 'loose'])} |" for _ in range(4))
        prose = [f"{sent()} {sent()} The guiding relation is {f1}.", f"{sent()}\n\n| remark | share / % | fit |\n|---|---:|:---|\n{rows}",
                 f"- {sent()}\n- Check that {f2} holds.\n- {sent()}"]
        secs.append(dict(id=f"s{i}", title=f"{i}. {rnd.choice(t['names'])} {rnd.choice('ABCDEFGH')}{rnd.randint(10, 99)}", flavour=fl, prose=prose, items=items))
    return dict(title=f"Plant check, {n} sections", seed=seed, sections=secs)

# ---- emitters ------------------------------------------------------------------------------------
def emit_json(doc):
    """one item a line, so that an edit by regular expression stays simple"""
    d = lambda x: json.dumps(x, ensure_ascii=False)
    out = ['{"title":%s,"seed":%d,"sections":[' % (d(doc["title"]), doc["seed"])]
    for k, s in enumerate(doc["sections"]):
        out.append('{"id":%s,"title":%s,"flavour":%s,"prose":%s,"items":[' % (d(s["id"]), d(s["title"]), d(s["flavour"]), d(s["prose"])))
        out.append(",\n".join(d(x) for x in s["items"])); out.append("]}" + ("," if k+1 < len(doc["sections"]) else ""))
    return "\n".join(out) + "\n]}\n"

def emit_stats(doc):
    it = [x for s in doc["sections"] for x in s["items"]]
    return json.dumps(dict(sections=len(doc["sections"]), given=sum(x["kind"] == "given" for x in it), eq=sum(x["kind"] == "eq" for x in it),
                           prose_bytes=sum(len(p) for s in doc["sections"] for p in s["prose"]), json_bytes=len(emit_json(doc)))) + "\n"

def emit_setsquare(doc):
    """the worksheet text; item["expect"] of the JSON form is the value to compare the output with"""
    u = lambda t: "" if t == "1" else " " + t.replace("*", " ")
    out = [f"---\ntitle: {doc['title']}\nfigures: 5\n---\n"]
    for s in doc["sections"]:
        giv = [f"{x['sym']} = {x['value']!r}{u(x['unit'])}  -- {x['note']}" for x in s["items"] if x["kind"] == "given"]
        eqs = [f"{x['sym']} = {x['expr']} = ?{u(x['unit'])}  -- {x['note']}" for x in s["items"] if x["kind"] == "eq"]
        out += [f"## {s['title']}\n", s["prose"][0] + "\n", "```given", *giv, "```\n", s["prose"][1] + "\n", "```work", *eqs, "```\n", s["prose"][2] + "\n"]
    return "\n".join(out)

EMIT = {"setsquare": emit_setsquare, "json": emit_json, "stats": emit_stats}

if __name__ == "__main__":
    p = argparse.ArgumentParser(); p.add_argument("-n", type=int, default=1); p.add_argument("-s", type=int, default=1)
    p.add_argument("-f", choices=EMIT, default="setsquare"); p.add_argument("-o", default="-")
    a = p.parse_args(); text = EMIT[a.f](make(a.n, a.s))
    sys.stdout.write(text) if a.o == "-" else open(a.o, "w").write(text)
