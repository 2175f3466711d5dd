// Every text of the page, in one place.
export const W = {
  steps: { begin: "1 Begin", parts: "2 Parts", stock: "3 Stock", joints: "4 Joints", plan: "5 Plan", papers: "6 Papers", text: "As text" },
  reading: "One moment: the job is being read …",
  undo: "Undo", redo: "Redo", saved: "saved",
  care: "A layout aid. Joint places, slopes and strap sizes from your plans win: ask their designer before you move a joint. Blades, dust and epoxy hurt: support the offcut, mask against dust, glove against epoxy.",
  begin: {
    head: "Begin", demo: "Try the demo", drop: "Drop drawings (DXF or SVG) here, or choose files", choose: "Choose files",
    jobs: "Jobs in this folder", open: "Open", drawings: "Drawings in this folder", name: "Name of the boat",
    units: "Lengths are written in", mm: "millimetres", inch: "feet and inches", make: "Make a job of the chosen drawings",
    numbers: "Begin with numbers, without a drawing", none: "None yet.", next: "Next: look at the parts", asked: "What only you know",
    shown: "What was found in", settled: "Everything needed for a plan is there.", straight: "Straight to the plan",
  },
  drawn: {
    head: "What was found in", how: "Click an outline to say what it is. Filled: a part of the job. Hatched: you are asked. Dashed: left out.", asked: "Asked about:", number: "Number", isPart: "part of the job", isAsked: "asked", isNone: "left out",
    nothing: "No outline is chosen.", take: "It is a part", takes: "Taken as a part:", notPart: "Not a part", mirror: "Half of it is drawn: mirror it", asDrawn: "Take it as it is drawn",
    unit: "In which unit is it drawn?", unitHow: "The file doesn't say. Choose the one by which its two largest outlines have their true size.", units: { mm: "millimetres", cm: "centimetres", m: "metres", in: "inches", ft: "feet" }, and: " and ",
  },
  numbers: { figure: "Figure", more: "More of it", offsets: "Table of offsets" },
  shed: {
    draw: "Draw its outline", head: "Outline and knots", how: "Length from the left, width from the bottom. Press on the sheet to set corners one after the other, or drag over a knot; or give the figures below.", pen: "Pressing on the sheet sets", penCorner: "a corner", penKnot: "a knot or stain",
    corner: "Corner", knot: "knot", along: "along", across: "across", from: "from", to: "to", why: "What it is", addCorner: "Add a corner", addKnot: "Add a knot", save: "Keep this outline", drop: "Leave it as it was",
  },
  parts: { head: "Parts", bevels: "Edges off square", bevel: "bevel", addBevel: "Add this bevel", joined: "Where it is longer than the stock, it is joined by", noJoint: "Don’t join it", mayJoin: "May be joined by", never: "in one length only", add: "Add this part", kind: "A part from numbers", addRail: "Add a rail", newRail: "new rail", remove: "Remove", name: "Name", thickness: "Thickness", count: "How many", hand: "Hand", grain: "Grain along", turn: "May be turned", allowance: "Left all round", material: "Material", length: "Length", width: "Width", next: "Next: what the yard sells", rails: "Rails, from boards", usual: "as usual", grainTurn: "Turn the grain arrow", fromEntry: "Made by another entry of the job: change it under “As text”.", section: "Section", newName: "new part" },
  stock: { head: "Stock", kerf: "Saw cut (kerf)", gap: "Extra gap", sheets: "Sheets", boards: "Boards", name: "Name", material: "Material", thickness: "Thickness", length: "Length", width: "Width", price: "Price", count: "To hand (empty: buy)", add: "Add a sheet", addBoard: "Add a board", remove: "Remove", next: "Next: joints", lengths: "Lengths", measure: "Cut into scrap and measure the slot: that is the kerf." },
  joints: { head: "Joints", none: "No part has a joint rule, so every part comes out in one length.", at: "Joints at (lengths, apart by commas; empty: nestcut chooses)", given: "given by you", free: "chosen by nestcut where it suits the stock: show it to the plans' designer", kind: "Kind", slope: "Slope", next: "Next: plan", planned: "In the plan as it stands", overlap: "overlap", rules: "Rules:", most: "most joints", least: "no piece shorter than", clear: "clear of", fewer: "One joint fewer:", notKnown: "not known yet", working: "not known yet, being worked out beside all else", work: "Work it out", tooLong: "Longer than anything in the stock that it is cut from:", give: "Join it by",
    price: { more: "costs more by", less: "a plan was found that costs less by", same: "a plan was found that costs the same", "no plan": "no plan was found: nothing in the stock is long enough" },
    set: "Set", whole: "From end to end", joint: "Joint" },
  plan: {
    head: "Plan", go: "Plan", fewest: "Fewest joints", cheapest: "Least money", quick: "Quick look", stop: "Stop and keep the best", running: "Searching", soFar: "Proven so far, to buy", results: "Plans side by side",
    choose: "Take this one", cost: "To buy", sheets: "Sheets", boards: "Boards", joints: "Joints", offcut: "Largest offcut", bestAt: "Best at", only: "From this size alone:", stale: "of an older job", least: "no plan can use less", atLeast: "at least", buy: "What to buy", hand: "Move pieces by hand",
    how: "Choose a piece with the pointer or the Tab key. Arrow keys push it by 1 mm, with Shift by 10; it slides along its neighbours. Every change is proven.", cut: "It is cut", isCut: "cut", spoilt: "It is spoilt: make it again", pin: "Pin it here", unpin: "Let it go", pinSheet: "Pin the whole sheet", again: "Search the rest again", pinned: "pinned", turn: "Quarter turn", half: "Half turn", flip: "Flip over", to: "To sheet", fits: "It fits; the plan is proven again.", not: "It can't lie there:", sheet: "Sheet", board: "Board", next: "Next: papers", unplaced: "Left without a place", none: "There is no plan yet.", unread: "The plan that lies beside this job can’t be read for it: it is of another state of the job or of an older nestcut. It is kept in the history; plan once more.", proven: "Proven: every piece, joint, sheet and sum was worked out once more by the verifier.", proving: "The verifier is looking at this plan …", refuted: "The verifier says no:", faceDown: "good face down", nothing: "nothing chosen",
  },
  papers: { head: "Papers", write: "Write the papers", again: "Write them again", list: "Files", look: "Look at the pages", none: "First there must be a plan.", stale: "The papers aren't written yet for this plan." },
  text: { head: "The job file as text", save: "Save", hint: "What is changed here is checked at once; comments stay." },
  meanwhile: { said: "The job file was changed by another program.", theirs: "Take what is in the file", mine: "Keep mine (the other stays in the history)", see: "See both" },
  tables: { job: "The job", saw: "The saw", sheet: "Sheet", board: "Board", part: "Part", rail: "Rail", drawings: "The drawings", drawing: "Drawing", marking: "Marking out", offsets: "Table of offsets", line: "Line" }, choose: "choose",
  fault: "That didn't work:", answer: "Answer", set: "Set", lost: "The server has stopped. Start 'nestcut bench' again; everything is saved.",
};
